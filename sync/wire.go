package opsync

import (
	"bytes"
	"encoding/json"
	"strconv"
)

// Proto is the version of the messages. Within one version members are only added, and a message or
// member that is not known is passed over.
const Proto = 1

// The messages. Phone to hub: hello, push, vouch. Hub to phone: welcome, ops, snapshot, ack, reject, names,
// wait, want. SPEC.md says what each holds and when it is sent.
const (
	msgHello    = "hello"
	msgPush     = "push"
	msgVouch    = "vouch"
	msgWelcome  = "welcome"
	msgOps      = "ops"
	msgSnapshot = "snapshot"
	msgAck      = "ack"
	msgReject   = "reject"
	msgNames    = "names"
	msgWait     = "wait"
	msgWant     = "want"
)

// message is any message as it is read.
type message struct {
	M      string            `json:"m"`
	Proto  int               `json:"proto"`
	Schema int               `json:"schema"`
	Site   string            `json:"site"`
	Epoch  string            `json:"epoch"`
	Seen   [][2]uint32       `json:"seen"`  // [device, number] in the order of devices
	Heads  []string          `json:"heads"` // welcome of a store that went backwards: hash of the last operation of each of Seen
	Head   string            `json:"head"`  // hash of the phone's own last operation: hello, on the phone; welcome, at the hub
	Acked  uint32            `json:"acked"` // hello: how far the hub has said it stored the phone's chain
	Device Device            `json:"device"`
	Role   Role              `json:"role"`
	Wall   int64             `json:"wall"`
	Names  map[string]string `json:"names"`
	Ops    []json.RawMessage `json:"ops"`
	Packed string            `json:"z"`
	Files  []string          `json:"files"` // want: names of picture files
	Seq    uint32            `json:"s"`
	Hash   string            `json:"h"`
	Seals  []string          `json:"seals"` // see seal.go
	Seal   string            `json:"seal"`
	Why    string            `json:"why"`
	Say    string            `json:"say"`
}

// readMessage reads a message as from a stranger.
func readMessage(frame []byte, max int) (*message, error) {
	if len(frame) > max {
		return nil, refuse(WhyLimit, "a message of "+count(len(frame))+" bytes; at most "+count(max)+" are read")
	}
	m := opsAsWritten(frame)
	if m == nil {
		m = new(message)
		if err := json.Unmarshal(frame, m); err != nil {
			return nil, refuse(WhyForm, "a message that does not read as one of ours")
		}
	}
	if len(m.Ops) > MaxFrameOps {
		return nil, refuse(WhyLimit, "a message with "+count(len(m.Ops))+" changes; at most "+count(MaxFrameOps)+" are read")
	}
	if len(m.Seen) > MaxDevices {
		return nil, refuse(WhyLimit, "a message that names more than "+count(MaxDevices)+" devices")
	}
	return m, nil
}

// opsAsWritten reads push and ops messages just as opsMessages writes them, which is nearly all the
// traffic there is, in one pass; nil for anything else. It only finds where each operation ends:
// whoever takes the operations reads them as from a stranger.
func opsAsWritten(frame []byte) *message {
	for _, name := range []string{msgPush, msgOps} {
		if rest, ok := bytes.CutPrefix(frame, append(begin(name), `,"ops":[`...)); ok && len(rest) > 2 {
			ops, rest := cutObjects(bytes.Clone(rest))
			if rest, ok := bytes.CutPrefix(rest, []byte("]")); ok && ops != nil {
				if seals, ok := sealsAsWritten(rest); ok {
					return &message{M: name, Ops: ops, Seals: seals}
				}
			}
		}
	}
	return nil
}

// cutObjects parts {…},{…},{…} and returns what comes after; nil when it is not that.
func cutObjects(b []byte) (list []json.RawMessage, rest []byte) {
	for {
		n := objectEnd(b)
		if n == 0 {
			return nil, nil
		}
		list, b = append(list, json.RawMessage(b[:n:n])), b[n:]
		if len(b) == 0 || b[0] != ',' {
			return list, b
		}
		b = b[1:]
	}
}

// objectEnd returns the length of the object that b begins with, 0 when there is none.
func objectEnd(b []byte) int {
	depth, quoted := 0, false
	for i := 0; i < len(b); i++ {
		switch c := b[i]; {
		case quoted && c == '\\':
			i++
		case c == '"':
			quoted = !quoted
		case quoted:
		case c == '{':
			depth++
		case c == '}':
			if depth--; depth <= 0 {
				return i + 1
			}
		}
		if i == 0 && depth != 1 {
			return 0
		}
	}
	return 0
}

func (m *message) vector() Vector {
	v := Vector{}
	for _, s := range m.Seen {
		v[Device(s[0])] = s[1]
	}
	return v
}

// begin starts a message; end closes it. In between members are appended, each with its comma.
func begin(m string) []byte { return append(append([]byte(`{"m":"`), m...), '"') }

func appendInt(b []byte, name string, n int64) []byte {
	b = append(append(append(b, `,"`...), name...), `":`...)
	return strconv.AppendInt(b, n, 10)
}

func appendText(b []byte, name, text string) []byte {
	b = append(append(append(b, `,"`...), name...), `":`...)
	return appendString(b, text)
}

func appendTexts(b []byte, name string, texts []string) []byte {
	b = append(append(append(b, `,"`...), name...), `":[`...)
	for i, text := range texts {
		if i > 0 {
			b = append(b, ',')
		}
		b = appendString(b, text)
	}
	return append(b, ']')
}

func appendSeen(b []byte, v Vector) []byte {
	return appendIDs(append(b, `,"seen":`...), v.last())
}

// last lists the last operation of each device, in the order of devices.
func (v Vector) last() []OpID {
	ids := make([]OpID, 0, len(v))
	for d, n := range v {
		if n > 0 {
			ids = append(ids, OpID{d, n})
		}
	}
	sortByDevice(ids)
	return ids
}

func appendNames(b []byte, names map[Device]string) []byte {
	devices := make([]OpID, 0, len(names))
	for d := range names {
		devices = append(devices, OpID{Device: d})
	}
	sortByDevice(devices)
	b = append(b, `,"names":{`...)
	for i, id := range devices {
		if i > 0 {
			b = append(b, ',')
		}
		b = append(appendString(b, strconv.Itoa(int(id.Device))), ':')
		b = appendString(b, names[id.Device])
	}
	return append(b, '}')
}

// opsMessages puts raw operations, as they are, into as few messages as the limits allow. seal, when
// there is one, appends the seals of those from…to-1.
func opsMessages(m string, raws [][]byte, seal func(b []byte, from, to int) []byte) [][]byte {
	var out [][]byte
	for from := 0; from < len(raws); {
		b := append(begin(m), `,"ops":[`...)
		n := from
		for n < len(raws) && n-from < MaxFrameOps && (n == from || len(b)+len(raws[n]) < MaxFrameBytes-16) {
			if n > from {
				b = append(b, ',')
			}
			b = append(b, raws[n]...)
			n++
		}
		b = append(b, ']')
		if seal != nil {
			b = seal(b, from, n)
		}
		out = append(out, append(b, '}'))
		from = n
	}
	return out
}

func rejectMessage(id OpID, hash, why, say string) []byte {
	b := begin(msgReject)
	if id != (OpID{}) {
		b = appendInt(b, "device", int64(id.Device))
		b = appendInt(b, "s", int64(id.Seq))
		b = appendText(b, "h", hash)
	}
	return append(appendText(appendText(b, "why", why), "say", say), '}')
}
