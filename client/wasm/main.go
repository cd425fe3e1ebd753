//go:build js && wasm

// Command wasm is the engine in the browser's worker: bytes in, bytes out. It sets one function,
// batterboard(Uint8Array) -> Uint8Array, and then waits for ever; the worker calls it, one request
// at a time.
package main

import (
	"syscall/js"

	"batterboard/client/engine"
)

func main() {
	e := engine.New()
	bytes := js.Global().Get("Uint8Array")
	serve := func(_ js.Value, args []js.Value) any {
		var in []byte
		if len(args) == 1 && args[0].InstanceOf(bytes) {
			in = make([]byte, args[0].Length())
			js.CopyBytesToGo(in, args[0])
		}
		out := e.Serve(in)
		reply := bytes.New(len(out))
		js.CopyBytesToJS(reply, out)
		return reply
	}
	js.Global().Set("batterboard", js.FuncOf(serve))
	select {}
}
