package sim

import (
	"os"
	"strconv"
	"testing"
)

// wires are faults after which every acknowledged operation must still be there, whatever happens.
var wires = Faults{Cut: 300, OneWay: 150, Drop: 100, Double: 200, Half: 60, Late: 50, CrashWrite: 200,
	CrashStored: 200, CrashTake: 100, ServerFlush: 100, ServerAck: 100, ServerRestart: 30, Full: 20, Clock: 50, ViewerWrites: 3000}

func with(base Faults, more Faults) Faults {
	all := Faults{}
	for f, n := range base {
		all[f] = n
	}
	for f, n := range more {
		all[f] = n
	}
	return all
}

// seeds returns how many worlds to run: SIM_SEEDS overrides.
func seeds(n int) uint64 {
	if s, err := strconv.Atoi(os.Getenv("SIM_SEEDS")); err == nil {
		n = s
	}
	return uint64(n)
}

// run runs the worlds from, from+1, … and the kept ones: seeds that failed once.
func run(t *testing.T, from, n uint64, phones int, faults Faults, kept ...uint64) map[Fault]int {
	t.Helper()
	seed, err := strconv.ParseUint(os.Getenv("SIM_TRACE"), 10, 64)
	told := err == nil
	list := kept
	for i := range n {
		list = append(list, from+i)
	}
	if told { // one world, told line by line
		list = []uint64{seed}
	}
	fired := map[Fault]int{}
	for _, seed := range list {
		w := New(seed, phones, faults)
		if told {
			w.Trace = t.Logf
		}
		w.Run(600)
		w.Settle()
		if err := w.Check(); err != nil {
			t.Fatalf("%v\n(to be told all of it: SIM_TRACE=%d go test -v -run %s)", err, seed, t.Name())
		}
		for f, k := range w.Fired {
			fired[f] += k
		}
	}
	for f, rate := range faults {
		if rate > 0 && fired[f] == 0 && !told {
			t.Errorf("the fault %q never struck in %d worlds", f, n)
		}
	}
	return fired
}

func TestCalmWorld(t *testing.T) { // SPEC S1
	run(t, 1, 20, 3, nil)
}

func TestCutAndCrashingWorlds(t *testing.T) { // SPEC S1, S2, P2
	run(t, 1000, seeds(100), 4, wires)
}

func TestRestoredServer(t *testing.T) { // SPEC E1-E3
	run(t, 2000, seeds(60), 4, with(wires, Faults{Backup: 60, Backwards: 60, ViewerWrites: 0}))
}

func TestCopiedAndDemotedPhones(t *testing.T) { // SPEC F1-F3
	run(t, 3000, seeds(60), 4, with(wires, Faults{Copied: 30, Demoted: 10, PairedAnew: 30}))
}

func TestDamagedPhones(t *testing.T) { // SPEC P4
	run(t, 4000, seeds(60), 4, with(wires, Faults{Rot: 60, Evicted: 40}))
}

// everything is all at once, restless much of the few worst.
var (
	everything = with(wires, Faults{Backup: 20, Backwards: 20, Copied: 15, PairedAnew: 15, Late: 80})
	restless   = with(wires, Faults{Cut: 900, CrashStored: 900, CrashTake: 500, CrashWrite: 300, Backup: 30, Copied: 20})
)

func TestEverythingAtOnce(t *testing.T) { // SPEC S1, S2
	run(t, 5000, seeds(40), 6, everything, 7)
}

// TestWorldsThatOnceFailed keeps the seeds that found something.
func TestWorldsThatOnceFailed(t *testing.T) { // SPEC E3, F3
	for _, k := range []struct {
		seed   uint64
		phones int
		faults Faults
	}{
		{28, 6, everything},  // a phone paired anew did not answer for what it wrote before
		{119, 7, everything}, // the same
		{290, 3, everything}, // a viewer held on to what nobody else had any more
		{271, 4, restless},   // a change was refused for its stamp instead of being written anew
	} {
		w := New(k.seed, k.phones, k.faults)
		w.Run(500)
		w.Settle()
		if err := w.Check(); err != nil {
			t.Error(err)
		}
	}
}
