//go:build !linux

package exact

import "time"

var born = time.Now()

// spent is the time since the start, where the system does not tell the processor's: in WebAssembly, say.
func spent() time.Duration { return time.Since(born) }
