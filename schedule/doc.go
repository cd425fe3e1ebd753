// Package schedule plans a site: who is where on which day, and why.
//
// Start here:
//
//	site, err := schedule.ParseSite(bytes)       // one JSON document; err is a sentence for a person
//	plan := schedule.Lay(site, now)              // where everything lies; there is always a plan
//	ways := schedule.FindWays(was, site, now, n) // after a change: what can be done about it
//	site = schedule.Taken(site, &ways.Ways[0])   // the site once a way is taken
//	got := schedule.NewReach(site, now, day)     // finished by a day: what would it take?
//	no := schedule.EarliestFor(site, now, id, at) // a wished start: why not?
//	odds := schedule.Odds(site, now, seed, runs) // how the finish spreads, by chance
//
// A [Site] is plain data. Its activities, holds and orders are the lines of a [Plan]; links say what
// waits for what, crews and places what there is only so much of. What cannot be kept is a [Problem]
// beside the plan, never an error.
//
// # Promises
//
// Everything in here is a pure function of what it is given: no clock, no files, no goroutines, no floating
// point, no order of a map in any result. The order of a site's slices does not matter. The same
// arguments give the same bytes on a phone, a server and a test; budgets are counted steps.
//
//   - Nothing starts before what it waits for, and no hold is passed before its visit.
//   - No crew is in more places than it has teams, no more is in a room than fits.
//   - Work runs in the hours that all its crews have, noisy work only in those of them that are noise hours,
//     and is not split over days a crew is away, but once where that was agreed.
//   - What happened stays where it happened. What was laid is not pulled earlier by itself.
//   - The plan after a way was taken is that way.
//   - Where nothing is uncertain the odds are the plan; worse luck never finishes sooner.
//
// Tests hold these laws over thousands of random sites (randsite), with a checker that shares no code with
// the planner (package check), against brute force where sites are small, and the ways against an integer
// programme that a general solver answers (front_test.go).
//
// # Time
//
// A [Minute] is the site's own wall clock, a [Day] its date. A [Calendar] numbers the open minutes of a
// crew, so that adding work, or counting what lies between, is one look-up. It reaches one year back and
// two ahead; what finds no time by then lies at [Never] and is a problem.
//
// # Changes
//
// A change is a changed site, nothing else; FindWays compares the two. Somebody is away: an Away. Weather
// closes outdoor work: a Shut with Outdoor; the site shut: one without. Work takes longer: its Labour. New
// work: an Activity and its links (a circle is among the site's Problems). A delivery slips: its Due. It came
// short: what came has arrived, the rest is an Order of its own with the links of those who need it. A visit
// fails: its Result, and the fix as new work in front of it; it moves: its Visit.
//
// What a way may use beyond the plain week are extras: on two Saturdays the hours that a crew offers, on five days
// that it works its overtime, both from now and from where the change strikes; for work that the change pushed back
// a crew that may stand in, or a second visit after days away (Crew.Twice). Each costs what the crew says, and is a call to it. A
// visit that was agreed may be asked for on another day, which is a call too. A Reach looks for extras all the
// way to the finish.
//
// # Method
//
// A site is compiled into a network of nodes and arcs. Lines are placed one by one, each as early as its
// links, crews and place allow (serial schedule generation), in several orders, the best of which is run
// again by its own late starts. After a change the same is done with promises to people kept or let go,
// and the solver in schedule/exact proves, where it can, that no trade of finish day, calls and cost is
// better. Extras are free first: only where even that gains something is one of those used bought, or done
// without, and the rest asked again (tree.go). So every set of extras is looked at by few proofs; Ways.Whole
// says that this came to its end. On a site too large for that, extras are tried one by one in good orders.
//
// Odds are counted: the job is built again and again with drawn labour, no-shows and failed visits, with
// the plan's own order kept on every crew and place ([Odds] says what is drawn and what is left out).
// Chance is a function of seed, run and line, so a change shows as what it changes.
//
// # Not in here
//
// Words for people (client/engine/words), merging (sync), and clocks.
package schedule
