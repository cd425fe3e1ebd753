package opsync

import (
	"go/ast"
	"go/parser"
	"go/token"
	"testing"
)

// TestEveryLimitHasItsReason: each number in limits.go stands under a comment, and those that belong
// together fit.
func TestEveryLimitHasItsReason(t *testing.T) { // SPEC O4
	set := token.NewFileSet()
	f, err := parser.ParseFile(set, "limits.go", nil, parser.ParseComments)
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, d := range f.Decls {
		g, ok := d.(*ast.GenDecl)
		if !ok || g.Tok != token.CONST {
			continue
		}
		reason, line := false, 0 // of the lines that stand together
		for _, s := range g.Specs {
			v := s.(*ast.ValueSpec)
			at := set.Position(v.Pos()).Line
			if reason = v.Doc != nil || reason && at == line+1; !reason {
				t.Errorf("%s has no reason beside it", v.Names[0].Name)
			}
			line = at
			n++
		}
	}
	if n < 30 {
		t.Errorf("%d limits read", n)
	}
	for what, fits := range map[string]bool{
		"an operation in a frame":               MaxOpBytes+1024 < MaxFrameBytes,
		"a way over a whole site":               MaxEdits >= 2*MaxSiteActivities && MaxOpBytes > 100*MaxSiteActivities,
		"two thousand activities":               MaxSiteActivities >= 2000,
		"a site of things":                      MaxThings >= 5*MaxSiteActivities,
		"seats among devices":                   MaxSeats <= MaxDevices && MaxDevices <= MaxSeen,
		"a part of a snapshot, in base64":       snapshotPart*4/3+1024 < MaxSnapshotFrame,
		"a piece of a picture":                  PictureChunk < MaxPicture && PictureSide < PaperSide && PaperSide < MaxPictureSide && MaxPicture < MaxPaper && SmallSide < PictureSide,
		"all photos of a site, a megabyte each": MaxSitePictures/(1<<20) >= 2000,
		"all papers of a site, two MB each":     MaxSitePictures/(2<<20) >= MaxSitePapers,
		"a question about pictures":             MaxWanted*67+30 < 16<<10,
	} {
		if !fits {
			t.Errorf("does not fit: %s", what)
		}
	}
}
