// Written by `go run ./embed/build types` from client/engine/view.go and request.go. Do not edit.
/** View is the answer to every request of the screen. */
export interface View {
  head: Head;
  /** which of the parts below is filled */
  screen: string;
  today?: TodayView;
  cant?: CantView;
  changed?: ChangedView;
  ways?: WaysView;
  strings?: StringsView;
  block?: BlockView;
  holds?: HoldsView;
  texts?: TextsView;
  words?: WordingsView;
  setup?: SetupView;
  thing?: ThingView;
  log?: LogView;
  odds?: OddsView;
  /** Questions is the set-up by questions, Pace what finished work says about the rest. */
  questions?: QuestionsView;
  pace?: PaceView;
  /** What the trade knows: meters and waits, goods, hold points by habit, questions, the printed week. */
  readings?: ReadingsView;
  orders?: OrdersView;
  rules?: RulesView;
  review?: ReviewView;
  week?: WeekView;
  photos?: PhotosView;
  people?: PeopleView;
  /** Refused is set when the intent could not be done: what happened, what is safe, what to do next. */
  refused?: string;
  /** Said is a short line about what was just done ("Way taken. 3 texts are ready."). */
  said?: string;
  /** Added is the ID of the thing that "add" made. */
  added?: string;
}
/** Head is on every screen. */
export interface Head {
  siteId: string;
  site: string;
  /** whose telephone numbers are written without the country's code */
  country?: string;
  /** IANA name, so that the screen can tell the site's wall clock */
  zone?: string;
  lang: string;
  now: Minute;
  finish: Minute;
  /** "finish Thu 22 Apr" */
  finishLine: string;
  /** "taut line: board → taping → floor" */
  tautLine: string;
  /** nothing planned yet: show the set-up */
  empty: boolean;
  /** the server has more of the site than has arrived here so far */
  coming?: boolean;
  /** owner, second, viewer */
  role: string;
  /** why nothing can be changed, when that is so */
  readOnly?: string;
  /** changes that have not reached the server */
  unsent: number;
  /** what was decided on two phones at once: values, ways that stand back, links set aside */
  unread: number;
  /** drafted and not sent */
  textsDue: number;
  /** changes the server refused, kept and shown in the log */
  rejected: number;
  /** open questions of the plan review */
  questions: number;
  /** what the next undo takes back */
  undo?: string;
  problems?: ProblemLine[];
}
/** ProblemLine is one contradiction in words, with the thing to open. */
export interface ProblemLine {
  text: string;
  /** ID of an activity, hold or order */
  open?: string;
  /** Kind says which screen opens it. */
  kind?: NodeKind;
  /** about this phone, not the plan: said before everything else */
  loud?: boolean;
}
/** Day is a date with its words, so that the screen never formats one. */
export interface Day {
  day: PlainDay;
  /** "Tue 6" */
  short: string;
  /** "Tuesday 6 April" */
  long: string;
}
export interface TodayView {
  day: Day;
  /** the one line that matters most this minute */
  lead: string;
  onSite: OnSite[];
  /** the next day with anybody on site */
  next: OnSite[];
  nextDay?: Day;
  /** calls to make, in order of their last moment */
  acts: Act[];
  /** what moved since this phone last looked */
  moved: MovedLine[];
  /** the owner's own work this evening */
  own: OnSite[];
}
/** OnSite is one crew's activity (or a visit, or a delivery) on a day. */
export interface OnSite {
  id: string;
  kind: NodeKind;
  /** crew ID, empty for visits and deliveries */
  crew: string;
  /** name */
  who: string;
  trade: string;
  what: string;
  /** "08:00–16:30" / "from Tue, day 2 of 3" */
  when: string;
  place?: string;
  booking: Booking;
  /** to tomorrow's text: yes, no, other, silent, notSent */
  answer?: string;
  started: boolean;
  finished: boolean;
  done: number;
  taut: boolean;
  /** what is not yet done in front of it */
  waits?: string;
  /** shown where the work is */
  caution?: string;
}
/** Act is one call or deed with its button. */
export interface Act {
  id: string;
  /** callIn, revisit, visitResult, order, arrived, ask, sendTexts, photos, answer, cant, heard, word */
  kind: string;
  /** the thing */
  on: string;
  /** "Call in Rough electrical" */
  text: string;
  /** "by Wed noon" */
  by: string;
  late: boolean;
  /** its last moment is today */
  today: boolean;
  phone?: string;
  /** "Called it in" */
  button: string;
  /** The days a crew says it can't come, when Kind is "cant". */
  from?: PlainDay;
  to?: PlainDay;
}
export interface MovedLine {
  id: string;
  kind: NodeKind;
  /** "Electric, rough-in: Thu 8 ← from Tue 6, because …" */
  text: string;
}
/** CantView is the small form: which crew, which days. */
export interface CantView {
  /** those with work ahead, soonest first */
  crews: CantCrew[];
  /** Crew and Picked are filled in already when a crew's "no" led here. */
  crew?: string;
  picked?: PlainDay[];
}
export interface CantCrew {
  id: string;
  name: string;
  trade: string;
  /** "rough-in, Tue 6 – Wed 7" */
  next: string;
  /** the coming days it is booked, then the working days after */
  days: Day[];
  booked: PlainDay[];
}
/** WaysView is the answer to "what now": up to five cards. */
export interface WaysView {
  /** names this answer; taking a way hands it back */
  token: string;
  /** "Electric can't make Tue–Wed" */
  title: string;
  /** "Proved: nothing finishes sooner." / "Still looking" / "Best found so far" */
  proof: string;
  /** the search has not said its last word: ask again with the same token */
  more: boolean;
  /** Reach is the answer to "finished by a day: what would it take?"; Proof is its first line. */
  reach?: ReachView;
  cards: WayCard[];
}
export interface WayCard {
  key: string;
  /** "finish holds Thu 22" / "finish Fri 23 (+1)" */
  finish: string;
  /** "2 calls" */
  calls: string;
  /** "+ $180" */
  cost?: string;
  /** "Sat work" */
  extra?: string;
  best: boolean;
  /** "soonest finish", "fewest calls", "just push everything" */
  name: string;
  /** who must hear, first; then what else moves */
  rows: WayRow[];
  /** rows that need no call, folded */
  quiet: number;
  proof?: string;
}
export interface WayRow {
  id: string;
  who: string;
  /** "Tue 6" */
  when: string;
  /** "← from Wed 7": what it was */
  from: string;
  /** "close the vent, patch holes" */
  what: string;
  call: boolean;
  phone?: string;
}
/** StringsView is the whole picture; the screen draws, the engine measures nothing. */
export interface StringsView {
  crews: StringCrew[];
  /** every day from the first to the last, closed ones folded */
  days: StringDay[];
  blocks: Block[];
  bars: Bar[];
  goods: Goods[];
  /** pairs of IDs joined by the chalk line, in order */
  taut: [string, string][];
}
export interface StringCrew {
  id: string;
  name: string;
  trade: string;
  away?: PlainDay[];
}
/** StringDay is a row. Open and Close bound the day's height: minutes since midnight. */
export interface StringDay {
  day: PlainDay;
  short: string;
  /** first day of a week: ruled heavier, bold */
  week: boolean;
  open: number;
  close: number;
  /** why nobody works */
  shut?: string;
  /** why outdoor work rests */
  wet?: string;
  today: boolean;
  past: boolean;
}
export interface Block {
  id: string;
  crew: string;
  with?: string[];
  name: string;
  trade: string;
  start: Minute;
  finish: Minute;
  /** how far it may slip: the later, the wider the string under it waves */
  slackTo: Minute;
  /** "2 days of slack" / "no slack" */
  slack: string;
  booking: Booking;
  taut: boolean;
  done: number;
  started: boolean;
  finished: boolean;
  late: boolean;
  /** the whole block in words, for screen readers */
  say: string;
}
/** Bar is a hold point across the strings it blocks. */
export interface Bar {
  id: string;
  name: string;
  /** signed, calledIn, notAsked, failed, partial */
  state: string;
  at: Minute;
  to: Minute;
  /** "Rough electrical · call in by Wed 7, noon" */
  label: string;
  /** "call Wed noon" */
  brief: string;
  /** crew IDs it lies across: all whose work is shut behind it */
  blocks: string[];
  taut: boolean;
}
export interface Goods {
  id: string;
  name: string;
  at: Minute;
  /** toOrder, ordered, arrived, short */
  state: string;
  label: string;
  /** crew IDs */
  for: string[];
}
/** BlockView is one activity opened. */
export interface BlockView {
  id: string;
  name: string;
  scope: string;
  crew: string;
  crewName: string;
  trade: string;
  when: string;
  /** why it starts when it does, a sentence */
  because: string;
  slack: string;
  waitsFor: LinkLine[];
  behind: LinkLine[];
  booking: Booking;
  told?: string;
  labour: Range;
  /** "2 days (1–3)" */
  days: string;
  /** where the hours come from, a line a rate, while they are those of the answers */
  basis: string[];
  done: number;
  started: Minute;
  finished: Minute;
  start: Minute;
  finish: Minute;
  frozen: boolean;
  /** one step earlier, when that is possible */
  earlier?: Minute;
  later?: Minute;
  /** why no step earlier */
  notEarlier?: string;
  /** the answer to "could it start then?" */
  wish?: WishView;
  /** who could do it */
  crews: Choice[];
  cautions: CautionLine[];
  acked?: string;
  /** how the crew kept the day, when there is one to mark */
  came?: CameMark;
  pictures: PhotoLine[];
  papers: PaperLine[];
  clashes?: Clash[];
}
export interface LinkLine {
  link: string;
  id: string;
  kind: NodeKind;
  name: string;
  /** "then 24 h, nights included"; empty where it just waits for the end */
  text: string;
  when: string;
  done: boolean;
  binds: boolean;
  /** it waits by a rule of the trade: the readings say more */
  wait: boolean;
}
export interface CautionLine {
  id: string;
  text: string;
  defer: string;
  stop: boolean;
}
export interface Choice {
  id: string;
  name: string;
  /** a small line beside it */
  note?: string;
}
export interface HoldsView {
  for: string;
  name: string;
  trade: string;
  /** "Board starts Thu 15 Apr at the earliest. 2 of 4 signed." */
  line: string;
  /** cover-ups first, then everything with something in front */
  choices: Choice[];
  holds: HoldLine[];
  /** other work and goods in front of it */
  others: LinkLine[];
  /** who decides */
  foot: string;
  /** of the holds shown */
  clashes?: Clash[];
}
export interface HoldLine {
  id: string;
  name: string;
  code?: string;
  /** signed, calledIn, notAsked, failed, partial */
  state: string;
  /** "signed Tue 6" / "call in by Wed noon" */
  status: string;
  waits: LinkLine[];
  ready: string[];
  photos: number;
  /** kept here, and counted by hand */
  taken: number;
  visit: string;
  phone?: string;
  agency?: string;
  said?: string;
  late: boolean;
  /** what a failed visit does to the finish */
  effect?: string;
  /** windows one may agree on when calling in */
  visits: VisitChoice[];
  /** callIn, result, photos, "" (signed) */
  next: string;
  /** Pictures are the photos kept here. */
  pictures: PhotoLine[];
  papers: PaperLine[];
  /** Parts may pass one by one; Passed did. PartsLine says so, Fee what the next visit costs. */
  parts: string[];
  passed: string[];
  partsLine?: string;
  fee?: string;
}
export interface VisitChoice {
  at: Minute;
  /** "Mon 12, morning" */
  text: string;
}
/** SetupView lists every thing of the site, for adding and changing. */
export interface SetupView {
  /** the head fields as in the site file */
  site: Record<string, unknown>;
  groups: Group[];
  /** removed things that can be restored: "kind/id" */
  gone: Choice[];
  templates: Choice[];
}
export interface Group {
  /** crew, place, activity, link, hold, order, away, shut */
  kind: string;
  lines: GroupLine[];
}
export interface GroupLine {
  id: string;
  name: string;
  note: string;
}
/** ThingView is one thing to edit: its fields as in the site file. */
export interface ThingView {
  kind: string;
  id: string;
  name: string;
  fields: Record<string, unknown>;
  links?: LinkLine[];
  clashes?: Clash[];
  crews: Choice[];
  places: Choice[];
  /** what a link may join */
  nodes: Choice[];
  /** the waits of the trade, for a link */
  waits: Choice[];
  /** us, metric: what a weight is written in */
  units: string;
  /** Trust is how a crew kept its days, and what the odds make of it. */
  trust?: string[];
  /** Pictures are the photos of an order. */
  pictures?: PhotoLine[];
  papers?: PaperLine[];
}
/** Clash is a field that two phones wrote without knowing of each other. */
export interface Clash {
  kind: string;
  id: string;
  name: string;
  field: string;
  /** the field, or all that the same acts wrote, in words */
  label: string;
  kept: string;
  by: string;
  /** of the value that stands, handed back to keep it */
  op: string;
  others: ClashValue[];
}
export interface ClashValue {
  value: string;
  by: string;
  /** "device.seq", handed back to choose it */
  op: string;
}
export interface LogView {
  /** newest first, at most 200 */
  lines: LogLine[];
  clashes: Clash[];
  /** links set aside because they close a circle */
  aside: ProblemLine[];
  /** ways that were taken at the same time as another and stand back */
  ways: LogLine[];
  /** Repaired is where the plan differs from the way taken last: what was not known when it was taken. */
  repaired: MovedLine[];
  refused: LogLine[];
  devices: Choice[];
}
export interface LogLine {
  op: string;
  when: string;
  by: string;
  text: string;
  sent: boolean;
  undone: boolean;
}
/**
 * OddsView is how the finish spreads over many runs of the job: a hundred dots, one above the other by
 * the day they finish. It grows while More is set.
 */
export interface OddsView {
  /** what it comes down to, in one sentence */
  line: string;
  /** the date one may give away */
  promise?: string;
  /** what the plan says, and how often it is kept */
  plan?: string;
  /** half, 4 of 5, 19 of 20 */
  marks: OddsMark[];
  /** from the first to the last with a dot, top down */
  days: OddsDay[];
  /** the most dots of any row */
  most: number;
  /** what is most often on the taut chain */
  taut: OddsLine[];
  /** what it is made of */
  made: string;
  /** crews whose no-show chance is taken from what they did */
  trust: string[];
  /** what it leaves out */
  left: string;
  runs: number;
  of: number;
  more: boolean;
}
/** OddsMark is one of the three shares, in words. */
export interface OddsMark {
  /** half, most, nearly */
  key: string;
  /** "half of the runs finish by Thu 29 Apr" */
  text: string;
  day: PlainDay;
}
/** OddsDay is one row: a day, or a week where the spread is wide. */
export interface OddsDay {
  day: PlainDay;
  /** "Thu 29 Apr" */
  text: string;
  dots: number;
  /** "12 of 100", empty for none */
  count: string;
  /** what is reached in this row, in words */
  marks: string[];
  /** the plan finishes here */
  plan: boolean;
}
/** OddsLine is one line that is often on the taut chain. */
export interface OddsLine {
  id: string;
  kind: NodeKind;
  name: string;
  trade: string;
  /** "in 84 of 100 runs" */
  often: string;
  /** "4 of 5 done by Thu 6 May" */
  by: string;
  /** of 100 */
  share: number;
}
/** QuestionsView is the set-up by questions: a page each, all of them skippable, all of them open again later. */
export interface QuestionsView {
  screens: AskScreen[];
  /** the plan was made from these answers: another one changes the plan */
  made: boolean;
  /** why no plan can be made from them: there is one already, made by hand */
  blocked: string;
  /** us, metric */
  units: string;
  answered: number;
  /** "61 activities, 17 visits … Finish about Thu 8 Jul." */
  outcome: string;
  assumed: AssumedLine[];
  /** two people answered at once: what Change would mend */
  apart?: string;
  /** what the answers that are not taken yet would change */
  change?: ChangeSeen;
}
/** AskScreen is one page. */
export interface AskScreen {
  id: string;
  title: string;
  help?: string;
  questions: Ask[];
  /** the answers of the page in one line */
  said: string;
  /** nothing on it was answered */
  skipped: boolean;
}
/** Ask is one question. */
export interface Ask {
  id: string;
  /** choice, many, length, count, day */
  kind: string;
  ask: string;
  help?: string;
  options: Choice[];
  /** as it is typed or tapped; empty: skipped */
  value: string;
  shown?: string;
  /** what counts while it is skipped */
  usual?: string;
  source?: string;
  mark?: string;
}
/** AssumedLine is one thing nobody said, with where it is from and the page that asks for it. */
export interface AssumedLine {
  text: string;
  source: string;
  mark: string;
  screen: string;
}
/** ChangeSeen shows what other answers would change, before they are taken. */
export interface ChangeSeen {
  /** "New: Channel." "Gone: Stucco." "Paint: 8 h → 12 h." */
  lines: string[];
  /** what stays although the answers do not want it, and why */
  kept: string[];
  /** "finish Fri 23 (+1)" */
  finish: string;
  /** nothing of the plan changes */
  same: boolean;
}
/**
 * PaceView is what finished work says about the work that is still to come: a proposal with its numbers,
 * taken with one tap, taken back with undo, and never done by itself.
 */
export interface PaceView {
  id: string;
  /** "Board, ceiling 1: Board took 12 h where 8 h was planned." */
  title: string;
  /** how it was counted */
  how: string;
  /** what taking it does */
  take: string;
  /** each later piece of work, hours then and now */
  lines: string[];
  /** what that does to the finish */
  finish: string;
}
/** ChangedView is what the little forms behind "Something changed" choose from. */
export interface ChangedView {
  /** not finished, soonest first */
  works: ChangedWork[];
  /** not here yet, or with work waiting behind */
  orders: ChangedOrder[];
  /** not signed */
  holds: ChangedHold[];
  crews: ChangedCrew[];
  places: Choice[];
  /** what new work may be put in front of, by date */
  ahead: Choice[];
  /** what it may come behind: also what is done, newest last */
  all: Choice[];
  /** the coming working days */
  days: ChangedDay[];
  back?: PlainDay;
  /** the last day of the plan as it is */
  finish?: PlainDay;
}
/** ChangedCrew says how much work of one person a day of the crew is, in minutes. */
export interface ChangedCrew {
  id: string;
  name: string;
  perDay: number;
}
export interface ChangedWork {
  id: string;
  name: string;
  crew: string;
  who: string;
  trade: string;
  when: string;
  place: string;
  labour: Range;
  /** minutes of one person that one day of its crew is */
  perDay: number;
  /** what directly waits for it and has not begun */
  behind: string[];
}
export interface ChangedOrder {
  id: string;
  name: string;
  who: string;
  when: string;
  /** when it comes, as planned */
  day: PlainDay;
  here: boolean;
  /** working days after that, or from today where it has come */
  later: Day[];
  /** work behind it that has not begun */
  needs: Choice[];
}
export interface ChangedHold {
  id: string;
  name: string;
  when: string;
  /** windows one may move the visit to */
  visits: VisitChoice[];
}
export interface ChangedDay {
  day: Day;
  /** how much outdoor work lies on it */
  outdoor: number;
}
/** WishView answers "could it start then?"; nothing has been moved. */
export interface WishView {
  day: PlainDay;
  /** "It can start Tue 6, 8:00. The finish holds …" / "It cannot start …; the earliest is …" */
  line: string;
  /** where a move would lay it, when it can */
  at?: Minute;
  /** what forbids it, nearest first */
  why: string[];
  /** what would have to be otherwise */
  change?: string;
}
/** ReachView says whether a day can be reached, and when not, what forbids it. */
export interface ReachView {
  /** more about it, beside WaysView.Proof */
  lines: string[];
  reached: boolean;
  /** the chain that forbids the day, nearest to the finish first */
  why: string[];
  change?: string;
}
/**
 * PhotoLine is one picture. Its bytes never pass through here: the screen asks the worker for them by
 * their names, Small first.
 */
export interface PhotoLine {
  id: string;
  file: string;
  small: string;
  wide: number;
  high: number;
  /** "Tue 6, 14:10" */
  when: string;
  by: string;
  said: string;
  /** what it is a picture of, for those who do not see it */
  say: string;
  /** crews may see it */
  share: boolean;
  on?: string;
  /** of what it is about */
  name?: string;
  kind?: NodeKind;
  /** Where and when the camera took it, where that was kept: in words, and as a link for a map (RFC 5870). */
  taken?: string;
  place?: string;
  geo?: string;
}
/**
 * PaperLine is one paper. Its bytes are asked of the worker by the name of the file, and looked at again before
 * they are given to anything: Type is what somebody wrote down.
 */
export interface PaperLine {
  id: string;
  file: string;
  type: string;
  /** of a file of that type: "pdf" */
  ending: string;
  title: string;
  /** "PDF, 1.2 MB" */
  note: string;
  /** when it was added */
  when: string;
  by: string;
  share: boolean;
  on?: string;
  /** of what it is about */
  name?: string;
  kind?: NodeKind;
}
/** PhotosView is all pictures and papers of the site, or of one thing, newest first. */
export interface PhotosView {
  on?: string;
  name?: string;
  /** "12 photos." */
  line: string;
  pictures: PhotoLine[];
  papers: PaperLine[];
}
/** Files is the answer to "files": the names of all files the site speaks of, pictures first, papers newest first. */
export interface Files {
  /** the server's store, as last met: a new one may have lost some */
  epoch: string;
  files: FilesLine[];
}
export interface FilesLine {
  file: string;
  small: string;
  paper?: boolean;
  /** bytes of a paper, as somebody wrote it down */
  size?: number;
}
/** PeopleView is the crews as people one can ring or write to, for address books. */
export interface PeopleView {
  /** whose numbers are written without the country's code; empty: nobody said */
  country: string;
  people: Person[];
}
/**
 * Person is one of them, and one that an address book brings: ID names the crew whose facts it fills,
 * none makes a new crew.
 */
export interface Person {
  id?: string;
  name: string;
  trade?: string;
  contact?: string;
  /** E.164 */
  phone?: string;
  email?: string;
}
/** ReadingsView is what the meters said, the waits that follow from it, and what they would do to the plan. */
export interface ReadingsView {
  line: string;
  /** waits still ahead, soonest first */
  waits: WaitLine[];
  /** of them, how many say something else than the plan */
  differ: number;
  effect?: string;
  /** what a reading says about work ahead: too cold, too wet */
  checks: string[];
  readings: ReadingLine[];
  places: Choice[];
  /** what can be measured */
  kinds: Choice[];
  metric: boolean;
  foot: string;
}
/** WaitLine is one link with a wait of the trade. */
export interface WaitLine {
  link: string;
  /** "Tape coat → Second coat" */
  name: string;
  /** which wait it is */
  rule: string;
  /** in the plan: "17 h" */
  now: string;
  /** by the rule and the readings: "24 h (20–28 h)" */
  says: string;
  /** "reading of Tue 6, 8:00 am: 60 °F, 50 %" or "nobody has measured: 70 °F, 50 %" */
  basis: string;
  when: string;
  how?: string;
  source: string;
  mark: string;
  /** what would shorten it, with what comes of it */
  shorter: string[];
  differs: boolean;
  /** a coat that could be done with setting-type compound */
  setting: boolean;
}
export interface ReadingLine {
  id: string;
  at: Minute;
  when: string;
  /** "air: 60 °F, 50 %" */
  text: string;
  by?: string;
  said?: string;
}
/** OrdersView is the goods: what is ordered, and what the room takes. */
export interface OrdersView {
  line: string;
  /** by their next moment; those that are here come last */
  orders: OrderLine[];
  room?: string;
  /** what the room takes, order by order; empty while nobody said how big it is */
  needs: NeedLine[];
  foot: string;
}
/** OrderLine is one order: how it stands, where it goes, what to look out for. */
export interface OrderLine {
  id: string;
  goods: string;
  quantity?: string;
  supplier?: string;
  phone?: string;
  /** toOrder, reserved, ordered, arrived, short */
  state: string;
  /** "order by Wed 7" */
  status: string;
  late: boolean;
  /** "for Board, ceiling 1, Mon 12" */
  for?: string;
  /** "3,450 kg, in Classroom" */
  stands?: string;
  /** no place, the floor, the wide opening */
  heeds: string[];
  /** why it is not firm yet */
  gate?: string;
  /** reserve, order, arrive, "" */
  next: string;
  /** what to offer as the promised day */
  due: PlainDay;
  /** ID of the work that closes the opening, when the goods are not tied to it yet */
  inBefore?: string;
}
/** NeedLine is what the room takes of one order. */
export interface NeedLine {
  order: string;
  name: string;
  lines: GoodsLine[];
  weight: string;
  /** "2–7 days to come" */
  lead: string;
  source: string;
  heeds: string[];
  /** as it would stand on the order */
  text: string;
  /** there is such an order */
  on: boolean;
  /** and it says the same */
  same: boolean;
  /** ordered or here: it is no longer changed from here */
  locked: boolean;
}
export interface GoodsLine {
  /** "44 sheets 4 × 8 ft, layer 1" */
  text: string;
  /** "42–46" */
  range?: string;
  how: string;
  source: string;
  mark: string;
}
/**
 * RulesView is the habit of building departments that the hold points started from, with its switches,
 * and what another choice would change. Everything in it is the owner's to edit.
 */
export interface RulesView {
  /** not your town's rule: ask */
  line: string;
  /** what is looked at: as the site has it, or as it was asked for */
  chosen: RulesChoice;
  profiles: RuleProfile[];
  boards: Choice[];
  editions: Choice[];
  /** what taking this choice would change */
  changes: string[];
  effect?: string;
  /** it is what the site has */
  same: boolean;
  holds: RuleHold[];
  /** hold points some departments ask for that are not on the site */
  more: Choice[];
}
/** RulesChoice is a choice of habit and switches. */
export interface RulesChoice {
  profile: string;
  /** off, rated, always; empty: as the profile has it */
  board: string;
  base: boolean;
  edition: string;
}
export interface RuleProfile {
  id: string;
  name: string;
  note: string;
  source: string;
  mark: string;
}
/** RuleHold is one hold point with what is agreed with the office about it. */
export interface RuleHold {
  id: string;
  name: string;
  code?: string;
  /** "1 working day of notice, calls by noon, $60, again $75" */
  terms: string;
  /** called in, looked at or signed: no habit touches it */
  fixed: boolean;
  source?: string;
  mark?: string;
}
/** ReviewView is what a careful planner would question about the plan. */
export interface ReviewView {
  line: string;
  /** open, weightiest first */
  questions: ReviewLine[];
  /** left as they are, with the reason given */
  settled: ReviewLine[];
  foot: string;
}
/** ReviewLine is one thing to think about: what it is, why it matters, and what to open. */
export interface ReviewLine {
  id: string;
  rule: string;
  /** "Board, walls: nothing is looked at before it covers." */
  text: string;
  /** why a careful planner asks */
  why: string;
  open?: string;
  kind?: NodeKind;
  /** the screen to open instead */
  go?: string;
  /** why it was left as it is, and by whom */
  left?: string;
}
/** WeekView is the printed sheet of one week: who comes, what is held, what can hurt, whom to ring. */
export interface WeekView {
  /** "Week of Monday 5 April" */
  title: string;
  /** its Monday */
  day: PlainDay;
  before: PlainDay;
  after: PlainDay;
  site: string;
  /** address, way in, whom to ask */
  lines: string[];
  days: WeekDay[];
  holds: WeekHold[];
  cautions: WeekCaution[];
  contacts: WeekContact[];
  /** when it was made: paper does not follow the plan */
  printed: string;
  foot: string;
}
export interface WeekDay {
  day: Day;
  today: boolean;
  /** "8:00 am – 4:30 pm · Electric · Rough electrical · Room" */
  lines: string[];
  shut?: string;
}
export interface WeekHold {
  name: string;
  status: string;
  /** what stays open until it is signed */
  shuts: string;
  ready: string[];
}
export interface WeekCaution {
  text: string;
  defer: string;
  stop: boolean;
  /** the work it is about */
  for: string;
  /** by whom and when; empty: a line to sign */
  acked?: string;
}
export interface WeekContact {
  who: string;
  /** their trade or what they bring; empty where the name says it */
  what: string;
  phone: string;
}
/** TextsView is the outbox: what is to be told, by kind, and what was told and waits for an answer. */
export interface TextsView {
  /** the day tomorrow's texts are about */
  day: Day;
  /** "5 crews tomorrow. 2 not asked, 1 silent." */
  line: string;
  /** crews that heard days and are not needed any more */
  off: TextCard[];
  /** crews whose told days changed */
  moved: TextCard[];
  /** crews on site that day */
  tomorrow: TextCard[];
  /** pencilled crews in the next two weeks nobody has asked */
  ask: TextCard[];
  /** crews in front of which all is done */
  go: TextCard[];
  /** a week or two before */
  remind: TextCard[];
  /** suppliers: a new order, or a promised day that moved */
  order: TextCard[];
  /** what to say on the inspector's phone line */
  callIn: TextCard[];
  /** the neighbours */
  street: TextCard[];
}
/** TextCard is one text with where it goes and what came back. */
export interface TextCard {
  id: string;
  kind: string;
  kindName: string;
  /** empty where it goes to no crew */
  crew: string;
  /** what it tells about, and the days told: handed back with "sent" */
  on: string[];
  told: string[];
  name: string;
  trade: string;
  phone: string;
  email?: string;
  lang: string;
  body: string;
  /** the same in the owner's language, when that differs */
  own?: string;
  ownLang?: string;
  /** sms: link, RFC 5724 */
  href: string;
  /** mailto: link, RFC 6068 */
  mail?: string;
  /** of a mail, and of what is shared */
  subject: string;
  /** its wording has a link to the crew's page, and this phone knows none */
  wants?: boolean;
  /** why they must hear */
  why: string;
  /** "since Mon 5, 4:00 pm" */
  since?: string;
  /** "412 letters, 3 messages." */
  length?: string;
  booking: Booking;
  sent: boolean;
  sentLine?: string;
  /** given to the server */
  queued?: boolean;
  /** why the server did not send it */
  failed?: string;
  /** "no answer since Mon 5, 4:00 pm" */
  silent?: string;
  /** "", yes, no, other */
  answer: string;
  /** "not asked", "no answer", "no phone number" */
  warn?: string;
  parts: number;
  /** how the crew kept its days so far */
  trust?: string;
}
/** CameMark is how a crew kept a day of its work: "", cameLate, noShow. */
export interface CameMark {
  day: PlainDay;
  /** the day in full */
  text: string;
  mark: string;
}
/** WordingsView lists the wordings of every kind of text in every language; Open is one to change. */
export interface WordingsView {
  /** texts go without the letters that make one message two */
  plain: boolean;
  lines: WordingLine[];
  open?: WordingOpen;
}
export interface WordingLine {
  /** "tomorrow.es" */
  id: string;
  name: string;
  lang: string;
  language: string;
  /** the owner wrote it */
  own: boolean;
  preview: string;
}
export interface WordingOpen {
  id: string;
  name: string;
  lang: string;
  language: string;
  own: boolean;
  /** with its blanks in the words of its language */
  text: string;
  standard: string;
  blanks: Blank[];
  /** filled in from the site */
  example: string;
  length: string;
  /** the same kind in the owner's language */
  yours?: string;
  /** what is wrong with the draft */
  wrong?: string;
}
/** Blank is one blank a text may have: "{way in}", and what stands there. */
export interface Blank {
  word: string;
  note: string;
}
/**
 * Request is what the worker hands the engine: bytes in. Do says which of the fields matter.
 * The engine has no clock, store or socket of its own: Now and Wall come with every request, what to
 * keep and what to send goes back in the Reply.
 */
export interface Request {
  do: string;
  /** the site's wall clock, to the minute */
  now: Minute;
  /** milliseconds since 1970 UTC, for stamps */
  wall: number;
  /** open: everything this phone has of one site. */
  site?: string;
  device?: number;
  role?: string;
  lang?: string;
  ops?: unknown[];
  /** as last returned in Reply.Meta */
  meta?: unknown;
  /** device number -> name */
  names?: Record<string, string>;
  /** frame: one message from the server. connected / cut: the socket's state. */
  frame?: string;
  /** show: which screen; also after every intent, so that its reply holds the screen as it now is. */
  screen?: string;
  /** the thing the screen is about */
  for?: string;
  day?: PlainDay;
  /** intents */
  id?: string;
  kind?: string;
  field?: string;
  op?: string;
  fields?: Record<string, unknown>;
  at?: Minute;
  from?: PlainDay;
  to?: PlainDay;
  crew?: string;
  said?: string;
  name?: string;
  count?: number;
  token?: string;
  key?: string;
  change?: Change;
  /**
   * Pages are the addresses of the crews' pages that this phone knows, for the texts that carry them.
   * They are never written down: the log is on every phone.
   */
  pages?: Record<string, string>;
  /** Draft is a wording as it is being written, for its preview. */
  draft?: string;
}
/** Change is a what-if the screen asks ways for. */
export interface Change {
  /** away, longer, slip, short, shut, tighten, fail, visit, found, by */
  kind: string;
  /** the activity, order or hold */
  id?: string;
  /** away, found */
  crew?: string;
  from?: PlainDay;
  to?: PlainDay;
  /** longer, found */
  labour?: Range;
  /** short: what is missing */
  why?: string;
  /** At is the new visit of a hold (visit); without it the first window of From is taken. */
  at?: Minute;
  /** Outdoor keeps only outdoor work off the days (shut): rain. */
  outdoor?: boolean;
  /**
   * New work (found): what it is called, where, and the nodes it comes behind and in front of. Before also
   * names the work that needs the rest of a short delivery; empty means all behind it.
   */
  name?: string;
  place?: string;
  after?: string[];
  before?: string[];
  /**
   * Days is how long the rest of a short delivery takes, when From names no day for it. Later says that
   * nothing has come yet: the supplier told beforehand.
   */
  days?: number;
  later?: boolean;
}
/**
 * Reply is what goes back: bytes out. The worker keeps Ops and Meta (strictly) before it shows View
 * or sends Frames: shown means saved.
 */
export interface Reply {
  ops?: unknown[];
  meta?: unknown;
  frames?: string[];
  view?: View;
  /** the plan changed without this phone's doing: show again */
  changed?: boolean;
  /** device names learned */
  names?: Record<string, string>;
  /** Document is the whole site as one canonical JSON document: the answer to "export". */
  document?: unknown;
  /** Want are names of files the server asks for; the worker hands in those it has. */
  want?: string[];
  /** Files are the names of all pictures and papers of the site: the answer to "files". */
  files?: Files;
  /** the request itself was broken: a defect, not a user error */
  failed?: string;
}
/** Booking is how sure a crew's days are. */
export type Booking = "" | "asked" | "firm";
/** A date, 2027-03-02; empty when not set. */
export type PlainDay = string;
/** A moment on the site's wall clock, 2027-03-02T08:00; empty when not set. */
export type Minute = string;
/** NodeKind says what a planned line is. */
export type NodeKind = "activity" | "hold" | "order";
/** Range is a low, typical and high figure of one unit. */
export interface Range {
  low?: number;
  typical: number;
  high?: number;
}
