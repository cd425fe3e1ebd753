package main

import (
	"errors"
	"io"

	assets "batterboard/embed"
)

// printLicences: batterboard licences.
func printLicences(args []string, out, errs io.Writer) error {
	fs := flags("licences")
	if err := parse(fs, args); err != nil {
		return err
	}
	if fs.NArg() > 0 {
		return badInput("licences takes no %q", fs.Arg(0))
	}
	f, ok := assets.Find("licences.txt", "")
	if !ok {
		return errors.New("this program was put together without the app: build it with go run ./embed/build, then they are inside")
	}
	_, err := out.Write(f.Body)
	return err
}
