// Labels of what the trade knows: readings, goods, habits of departments, the plan review, the printed week.
const many = (n: number, one: string, more: string) => `${n} ${n === 1 ? one : more}`;

export const tradeEn = {
  readings: {
    title: "Readings and waits",
    add: "Write down a reading", of: "Measured", where: "Where", warmth: "Warmth", humidity: "Humidity, %", moisture: "Moisture, %", at: "When, if not just now", said: "Remark", keep: "Keep the reading",
    waits: "Waits ahead", now: "in the plan", says: "by the rule", take: "Take them over", ways: "Show the ways through",
    takeOne: "Take it over", own: "Keep the plan's own", setting: "Use setting-type compound", how: "How it is worked out, and where from", past: "Readings", gone: "Take it out",
    effect: "If you take them over",
  },
  orders: {
    title: "Goods", list: "Orders", needs: "What the room takes", needsNone: "Nobody has said how big the room is.", questions: "Answer the questions of the set-up",
    state: { toOrder: "to order", reserved: "held", ordered: "ordered", arrived: "here", short: "came short" } as Record<string, string>,
    order: "Ordered", reserve: "Held, not firm", here: "Counted: it is all here", short: "Something is missing", due: "Promised for", open: "Open the order", add: "Add an order",
    inBefore: "Bring it in before", use: "Write this on the order", make: "Make the order", same: "The order says the same.", locked: "Ordered already: it stays as it is.", details: "How it is worked out, and where from", count: "Count before you sign",
  },
  rules: {
    title: "Which visits are made", habit: "Start from a habit", board: "Is the board looked at?", base: "The base layer is looked at before the next hides it", edition: "Clauses of which code",
    changes: "What would change", nothing: "This is what the site has.", take: "Use this", all: "The same for all visits", allNote: "What you fill in is written to every visit that is not called in yet.", allTake: "Write it to all", holds: "Hold points of this site", more: "Some departments also ask for", add: (what: string) => `Add: ${what}`, own: "Add a hold point", fixed: "called in or signed: stays as it is",
  },
  review: {
    title: "Plan review", leave: "Leave as it is", why: "Why?", settled: "Left as they are", again: "Ask again", look: "Look at it",
  },
  week: {
    title: "Sheet for the wall", print: "Print", before: "Week before", after: "Week after", days: "Who comes", holds: "Must be signed", cautions: "Before starting", contacts: "Whom to ring", nobody: "nobody", shuts: "keeps shut", decides: "decides:", sign: "read by:", ready: "ready:",
  },
  more: {
    readings: "Readings and waits", readingsNote: "meters of the room, drying times, what shortens them", orders: "Goods", ordersNote: "what the room takes, when to order, where it stands",
    rules: "Which visits are made", rulesNote: "inspections by habit: never your town's rule", review: "Plan review", reviewNote: "what a careful planner would ask", week: "Sheet for the wall", weekNote: "one week on one page, to print",
  },
  holds: {
    parts: "Which parts passed?", ahead: "Let the work behind go ahead there",
  },
  field: {
    parts: "Walls or rooms that may pass one by one, a line each", fee: "Fee of a visit", feeAgain: "Fee of another visit", floorKind: "Goods stand on", carries: "The wood floor carries", gateOrder: "What could still cancel it",
    wideGoods: "Comes in through the wide opening only", reserved: "Held since", closes: "Closes the wide opening", wait: "Which wait of the trade", thick: "Thickness", slab: "the ground, or a slab on it", wood: "a wood floor",
  },
  questions: (n: number) => many(n, "question", "questions"),
};
