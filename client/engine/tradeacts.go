package engine

// The acts of what the trade knows: readings and waits, goods, habits of departments, questions.
func init() {
	for name, act := range map[string]func(*Engine, Request){ // any order: each has its own name
		"reading": (*Engine).reading, "waits": (*Engine).waits, "takeoff": (*Engine).takeOff, "reserve": (*Engine).reserve,
		"rules": (*Engine).rules, "settle": (*Engine).settle,
	} {
		intents[name] = act
	}
}
