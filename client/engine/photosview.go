package engine

import "batterboard/schedule"

// PhotoLine is one picture. Its bytes never pass through here: the screen asks the worker for them by
// their names, Small first.
type PhotoLine struct {
	ID    string            `json:"id"`
	File  string            `json:"file"`
	Small string            `json:"small"`
	Wide  int32             `json:"wide"`
	High  int32             `json:"high"`
	When  string            `json:"when"` // "Tue 6, 14:10"
	By    string            `json:"by"`
	Said  string            `json:"said"`
	Say   string            `json:"say"`   // what it is a picture of, for those who do not see it
	Share bool              `json:"share"` // crews may see it
	On    string            `json:"on,omitempty"`
	Name  string            `json:"name,omitempty"` // of what it is about
	Kind  schedule.NodeKind `json:"kind,omitempty"`
	// Where and when the camera took it, where that was kept: in words, and as a link for a map (RFC 5870).
	Taken string `json:"taken,omitempty"`
	Place string `json:"place,omitempty"`
	Geo   string `json:"geo,omitempty"`
}

// PaperLine is one paper. Its bytes are asked of the worker by the name of the file, and looked at again before
// they are given to anything: Type is what somebody wrote down.
type PaperLine struct {
	ID     string            `json:"id"`
	File   string            `json:"file"`
	Type   string            `json:"type"`
	Ending string            `json:"ending"` // of a file of that type: "pdf"
	Title  string            `json:"title"`
	Note   string            `json:"note"` // "PDF, 1.2 MB"
	When   string            `json:"when"` // when it was added
	By     string            `json:"by"`
	Share  bool              `json:"share"`
	On     string            `json:"on,omitempty"`
	Name   string            `json:"name,omitempty"` // of what it is about
	Kind   schedule.NodeKind `json:"kind,omitempty"`
}

// PhotosView is all pictures and papers of the site, or of one thing, newest first.
type PhotosView struct {
	On       string      `json:"on,omitempty"`
	Name     string      `json:"name,omitempty"`
	Line     string      `json:"line"` // "12 photos."
	Pictures []PhotoLine `json:"pictures"`
	Papers   []PaperLine `json:"papers"`
}

// Files is the answer to "files": the names of all files the site speaks of, pictures first, papers newest first.
type Files struct {
	Epoch string      `json:"epoch"` // the server's store, as last met: a new one may have lost some
	Files []FilesLine `json:"files"`
}

type FilesLine struct {
	File  string `json:"file"`
	Small string `json:"small"`
	Paper bool   `json:"paper,omitempty"`
	Size  int32  `json:"size,omitempty"` // bytes of a paper, as somebody wrote it down
}
