package opsync

import "batterboard/schedule"

// Every limit that a phone or an owner may meet, with its reason: of the log and the wire, of pictures, of
// a site, of a server. A limit that is reached is answered with a sentence (Refusal), never with a
// cut-off thing. What only keeps strangers from filling the server's memory stands where it is counted.

// Of a server.
const (
	// MaxSites bounds the sites of one server: a firm that begins one every working day for eight years.
	// The store lists them all when a shell command looks for one, and the once-a-day look after pictures
	// goes through them.
	MaxSites = 2000

	// MaxBegun bounds the sites one device may begin, and SparesInHand the numbers for new sites it has
	// with it, so that a site can be born without signal: one, and one more before there is signal again.
	MaxBegun     = 50
	SparesInHand = 2

	// MaxSeats bounds the devices of one site that may ever be let in. Their names go to every phone with
	// every change of them, 50 bytes each. MaxInvitations bounds those let in but not here yet.
	MaxSeats       = 200
	MaxInvitations = 20

	// MaxSockets bounds the phones connected at once: 18 kB each, 180 MB in all.
	MaxSockets = 10_000
)

// Of a site.
const (
	// MaxSiteActivities is how many activities one site holds. A conversion has fewer than a hundred; two
	// thousand is a whole house, and laying it still takes less than a second on a phone. The planner's
	// own limits (schedule/parse.go) say the same of the other lists.
	MaxSiteActivities = schedule.MaxActivities

	// MaxSitePhotos bounds the photos one site speaks of: fifty a day for a hundred days. MaxSitePapers bounds
	// its papers: the folder of such a job holds 30 to 80.
	MaxSitePhotos = schedule.MaxPhotos
	MaxSitePapers = schedule.MaxPapers
)

// Of the log and the wire.
const (
	// MaxOpBytes bounds one operation. A whole site imported at once is split into several (see
	// SplitEdits); a way that lays 2,000 activities anew takes about 60 bytes each: 120 kB.
	MaxOpBytes = 256 << 10

	// MaxEdits bounds the edits of one operation: 2,000 activities and their openings in one way.
	MaxEdits = 4000

	// MaxFields bounds the fields one edit sets. The largest kind has 25.
	MaxFields = 100

	// MaxValueBytes bounds one value: a page of text in a scope or a note.
	MaxValueBytes = 16 << 10

	// MaxDepth bounds nesting within a value: a week is a list of lists of strings, so 3 are used.
	MaxDepth = 8

	// MaxLabel bounds the line that the log shows for an operation, in bytes.
	MaxLabel = 400

	// MaxID bounds an ID in bytes, MaxWord a kind of thing or the name of a field.
	MaxID   = 64
	MaxWord = 32

	// MaxDevice bounds device numbers. They are counted up by the server, one a pairing.
	MaxDevice = 1 << 20

	// MaxSeq bounds a device's operations: a hundred a day for a century is 3.6 million.
	MaxSeq = 1 << 24

	// MaxSeen bounds the entries of one operation's "newly seen": one for each other device, as the
	// first operation of a newcomer to an old site has seen them all.
	MaxSeen = MaxDevices

	// MaxWall is the latest stamp, the end of 2199, the last year a date may have (schedule). A clock
	// beyond it, or before MinWall (2020), is taken as that end: the stamp then only counts up.
	MaxWall = 7258118399999
	MinWall = 1577836800000

	// MaxCount bounds the counter of a stamp. An honest counter never passes the number of operations
	// in the log (SPEC T3), so this is out of anybody's reach.
	MaxCount = 1 << 40

	// MaxFrameBytes bounds one message to or from the server. Larger than the largest operation plus
	// its envelope; small enough that a socket's read buffer is no way to fill the server's memory.
	MaxFrameBytes = 512 << 10

	// MaxFrameOps bounds the operations in one push or ops message: about 100 kB of usual ones, so a
	// slow uplink acknowledges something every few seconds.
	MaxFrameOps = 400

	// MaxDevices bounds the devices of one site: a phone paired anew is a new device.
	MaxDevices = 2000

	// MaxSnapshotFrame bounds one message a phone reads: a part of two megabytes that would not pack
	// at all, in base64.
	MaxSnapshotFrame = 4 << 20

	// snapshotPart is how much of the log goes into one snapshot message, before packing.
	snapshotPart = 2 << 20

	// MaxSnapshotBytes bounds what a packed snapshot part may unpack to, so that a small message
	// cannot fill a phone's memory.
	MaxSnapshotBytes = 16 << 20

	// MaxSiteOps and MaxSiteBytes bound one site on the server: twenty phones, four months, a hundred
	// changes a day each is 240,000 operations of 300 bytes.
	MaxSiteOps   = 400_000
	MaxSiteBytes = 256 << 20

	// MaxThings bounds the things of one site in an imported document: 2,000 activities with their
	// links, orders and texts are about 10,000.
	MaxThings = 20_000

	// MaxDocument bounds an imported document in bytes.
	MaxDocument = 16 << 20

	// MaxPicture bounds one picture file in bytes. Phones make pictures of at most PictureSide pixels along
	// the longer side, about 0.5 MB; a page full of fine detail comes to 2.
	MaxPicture = 3 << 20

	// PictureSide and SmallSide are the longer sides in pixels to which a phone scales a picture and its
	// small copy: a label on a cable can be read, and a phone shows a dozen small ones at once.
	PictureSide = 2048
	SmallSide   = 320

	// PaperSide is the longer side in pixels to which a phone scales a plan that was photographed or saved as a
	// picture. On the longer side of an A1 sheet (841 mm) that is 124 dots an inch: lettering of 2.5 mm, the
	// smallest usual height of ISO 3098, is twelve pixels high and can be read.
	PaperSide = 4096

	// MaxPictureSide bounds the sides of a picture the server takes: a tenth beyond PaperSide. A JPEG decoded
	// is at most 30 MB (three bytes for two pixels) and one at a time, a PNG is unpacked row by row, so no
	// picture can fill the server's memory.
	MaxPictureSide = 4505

	// MaxPaper bounds one paper in bytes: thirty sheets scanned in grey have 4 to 10 MB (common practice, no
	// source). It goes whole through a phone's memory, and through one record of a backup, which holds 16.
	MaxPaper = 12 << 20

	// PictureChunk is how much of a picture goes into one request: eight seconds on a slow uplink of
	// 16 kB a second, half of what the server waits for a request.
	PictureChunk = 128 << 10

	// MaxWanted bounds the names in one question about pictures: 67 bytes each, 7 kB.
	MaxWanted = 100

	// MaxSitePictures bounds the picture files of one site on the server, in bytes: two thousand pictures
	// of a megabyte.
	MaxSitePictures = 2 << 30

	// MaxRejected bounds the refused operations a phone keeps to show; the oldest go first. A phone
	// that lost its rights while away for a month has some hundreds.
	MaxRejected = 1000
)
