package engine

import "testing"

// The inspector's line takes the call and does not say which visit it will be. Today asks for it, and the hold
// offers the visits there are; once one is agreed nobody is asked any more.
func TestVisitIsAgreedLater(t *testing.T) {
	e := openDemo(t, "en")
	early := at("2027-04-06T07:00")
	do(t, e, Request{Do: "callIn", ID: "rough-electrical", Now: early})
	hold := func() *HoldLine {
		v := do(t, e, Request{Do: "show", Screen: "holds", For: "board-ceiling-1", Now: early}).View.Holds
		for i := range v.Holds {
			if v.Holds[i].ID == "rough-electrical" {
				return &v.Holds[i]
			}
		}
		t.Fatal("no such hold")
		return nil
	}
	asked := func() bool {
		for _, a := range do(t, e, Request{Do: "show", Screen: "today", Now: early}).View.Today.Acts {
			if a.Kind == "revisit" && a.On == "rough-electrical" {
				return true
			}
		}
		return false
	}
	h := hold()
	if h.State != "calledIn" || len(h.Visits) == 0 || h.Visits[0].Text != "Thu 8, morning" || !asked() {
		t.Fatalf("called in without a visit: %+v, asked for it: %v", h, asked())
	}
	do(t, e, Request{Do: "callIn", ID: "rough-electrical", At: h.Visits[0].At, Now: early})
	if h := hold(); h.Status != "visit Thu 8, morning" || len(h.Visits) != 0 || asked() {
		t.Errorf("agreed: %+v, still asked for it: %v", h, asked())
	}
}
