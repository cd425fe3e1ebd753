package engine

import "batterboard/schedule"

// OrdersView is the goods: what is ordered, and what the room takes.
type OrdersView struct {
	Line   string      `json:"line"`
	Orders []OrderLine `json:"orders"` // by their next moment; those that are here come last
	Room   string      `json:"room,omitempty"`
	Needs  []NeedLine  `json:"needs"` // what the room takes, order by order; empty while nobody said how big it is
	Foot   string      `json:"foot"`
}

// OrderLine is one order: how it stands, where it goes, what to look out for.
type OrderLine struct {
	ID       string       `json:"id"`
	Goods    string       `json:"goods"`
	Quantity string       `json:"quantity,omitempty"`
	Supplier string       `json:"supplier,omitempty"`
	Phone    string       `json:"phone,omitempty"`
	State    string       `json:"state"`  // toOrder, reserved, ordered, arrived, short
	Status   string       `json:"status"` // "order by Wed 7"
	Late     bool         `json:"late"`
	For      string       `json:"for,omitempty"`      // "for Board, ceiling 1, Mon 12"
	Stands   string       `json:"stands,omitempty"`   // "3,450 kg, in Classroom"
	Heeds    []string     `json:"heeds"`              // no place, the floor, the wide opening
	Gate     string       `json:"gate,omitempty"`     // why it is not firm yet
	Next     string       `json:"next"`               // reserve, order, arrive, ""
	Due      schedule.Day `json:"due"`                // what to offer as the promised day
	InBefore string       `json:"inBefore,omitempty"` // ID of the work that closes the opening, when the goods are not tied to it yet
}

// NeedLine is what the room takes of one order.
type NeedLine struct {
	Order  string      `json:"order"`
	Name   string      `json:"name"`
	Lines  []GoodsLine `json:"lines"`
	Weight string      `json:"weight"`
	Lead   string      `json:"lead"` // "2–7 days to come"
	Source string      `json:"source"`
	Heeds  []string    `json:"heeds"`
	Text   string      `json:"text"`   // as it would stand on the order
	On     bool        `json:"on"`     // there is such an order
	Same   bool        `json:"same"`   // and it says the same
	Locked bool        `json:"locked"` // ordered or here: it is no longer changed from here
}

type GoodsLine struct {
	Text   string `json:"text"`            // "44 sheets 4 × 8 ft, layer 1"
	Range  string `json:"range,omitempty"` // "42–46"
	How    string `json:"how"`
	Source string `json:"source"`
	Mark   string `json:"mark"`
}
