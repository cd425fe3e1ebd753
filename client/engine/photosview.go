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
}

// PhotosView is all pictures of the site, or of one thing, newest first.
type PhotosView struct {
	On       string      `json:"on,omitempty"`
	Name     string      `json:"name,omitempty"`
	Line     string      `json:"line"` // "12 photos."
	Pictures []PhotoLine `json:"pictures"`
}

// Files is the answer to "files": the names of all picture files the site speaks of.
type Files struct {
	Epoch string      `json:"epoch"` // the server's store, as last met: a new one may have lost some
	Files []FilesLine `json:"files"`
}

type FilesLine struct {
	File  string `json:"file"`
	Small string `json:"small"`
}
