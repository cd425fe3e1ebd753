package engine

import opsync "batterboard/sync"

// The acts of what the trade knows: readings and waits, goods, habits of departments, questions.
func init() {
	for name, act := range map[string]func(*Engine, Request){ // any order: each has its own name
		"reading": (*Engine).reading, "waits": (*Engine).waits, "takeoff": (*Engine).takeOff, "reserve": (*Engine).reserve,
		"rules": (*Engine).rules, "settle": (*Engine).settle,
	} {
		intents[name] = act
	}
}

// tradeKept looks at an edit by hand as the trade would: cautions are acknowledged on their own page, and a
// link that takes a wait of the trade takes its time with it.
func (e *Engine) tradeKept(edit *opsync.Edit) bool {
	switch edit.Thing {
	case "activity":
		return e.ackKept(edit)
	case "link":
		e.waitKept(edit)
	}
	return true
}
