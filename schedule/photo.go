package schedule

// Photo names a picture of the site. The picture itself is a file that phones and server keep by its
// content; here is only what it is called and what it is of. The planner never looks at photos.
type Photo struct {
	ID    string `json:"id"`
	At    Minute `json:"at,omitzero"`     // when it was taken, by the phone's clock
	On    string `json:"on,omitempty"`    // the activity, hold, order or note it is about
	By    string `json:"by,omitempty"`    // who took it
	Said  string `json:"said,omitempty"`  // a line under it
	File  string `json:"file"`            // SHA-256 of the picture's bytes, 64 hex digits: its name wherever it is kept
	Small string `json:"small,omitempty"` // the same of a small copy of it, which comes first
	Wide  int32  `json:"wide,omitempty"`  // pixels
	High  int32  `json:"high,omitempty"`
	Share bool   `json:"share,omitempty"` // crews may see it on their pages

	// Where and when it was taken, by the camera. Pictures are made anew without it; it is only here where the
	// owner wanted it kept, and no crew ever sees it.
	Taken     Minute `json:"taken,omitzero"`
	Latitude  int32  `json:"latitude,omitempty"` // millionths of a degree (11 cm), WGS 84, north and east positive
	Longitude int32  `json:"longitude,omitempty"`
}

// ValidFile tells whether a text can be the name of a picture.
func ValidFile(name string) bool {
	for i := range len(name) {
		if c := name[i]; (c < '0' || c > '9') && (c < 'a' || c > 'f') {
			return false
		}
	}
	return len(name) == 64
}
