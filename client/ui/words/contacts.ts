// Labels of names and numbers from an address book, and back.

export const contactsEn = {
  title: "Names and numbers", row: "From an address book, or into one", rowNote: "contacts of this phone, a vCard or a table",
  lead: "Bring names, numbers and e-mail addresses of your crews. Nothing is taken before you have looked at it.",
  pick: "Choose from this phone's contacts", file: "Open a file (vCard or CSV table)", none: "Nobody was chosen.",
  found: (n: number) => (n === 1 ? "1 entry" : `${n} entries`),
  into: "Into", newCrew: "a new crew", skip: "leave it out", who: "to ask for", noPhone: "no number", noEmail: "no e-mail",
  bad: (text: string) => `“${text}” is no telephone number in this country. It is left out; write the number with + and the country's code to keep it.`,
  badTyped: "That is no telephone number in this country. Write it with + and the country's code, like +1 213 555 0110.",
  unsure: "This number does not look like one that is given out. Please check it.",
  take: (n: number) => (n === 1 ? "Take 1 over" : `Take ${n} over`), country: "Numbers without a country's code are read as from:", change: "Change",
  trouble: {
    v21: (line: number) => `Line ${line}: a card of version 2.1, which writes letters in a way that cannot be told for certain. Export it again as vCard 3.0 or 4.0.`,
    noName: (line: number) => `Line ${line}: an entry without a name was left out.`, cut: (line: number) => `Line ${line}: a card that never ends was left out.`,
    none: () => "No contacts were found in this file. It takes vCards (.vcf) and tables (.csv) with a heading over each column: a name, and a phone or an e-mail.",
    many: (line: number) => `From line ${line} on nothing was read: one file brings at most 500 entries.`, big: () => "This file is larger than 2 MB. Take fewer contacts, or leave their photos out.",
  },
  out: "Into an address book", outNote: "All hired crews with their numbers, as a file for the address book of a phone or computer.",
  v4: "vCard 4.0", v3: "vCard 3.0, for older address books", csv: "Table (CSV)", heads: ["Name", "Contact", "Phone", "E-mail"],
};
