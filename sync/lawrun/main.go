// Command lawrun runs the merge laws on the seeds 1 to n and prints a digest of everything the states
// said. The tests build it for WebAssembly and compare.
package main

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"os"
	"strconv"

	"batterboard/sync/laws"
)

func main() {
	n, err := strconv.Atoi(os.Args[1])
	if err != nil {
		fmt.Fprintln(os.Stderr, "usage: lawrun N")
		os.Exit(2)
	}
	sum := sha256.New()
	for seed := 1; seed <= n; seed++ {
		said, err := laws.Check(uint64(seed))
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		sum.Write([]byte(said))
	}
	fmt.Println(hex.EncodeToString(sum.Sum(nil)))
}
