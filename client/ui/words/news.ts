// Labels of the word from crews, the owner's calendar, and contacts.

export const newsEn = {
  title: "Word from crews, calendar",
  row: "Word from crews, calendar", rowNote: "a message when a crew answers; the plan in your calendar",
  push: "A message when a crew answers",
  lead: "This phone rings when a crew answers on its page, or has not answered by the hour you set, also while Batterboard is closed.",
  on: "This phone gets a message", off: "This phone gets no message", turnOn: "Send messages to this phone", turnOff: "No more messages here",
  kept: "The message names the crew and the day, nothing more, and is sealed for this phone: the company that carries it cannot read it.",
  blocked: "Messages from Batterboard are switched off in this phone's settings. Allow them there, then come back. Until then the numbers at the foot of the screen tell you.",
  none: "This browser cannot be called while Batterboard is closed. The numbers at the foot of the screen tell you who answered.",
  plain: "Messages need the secure address that begins with https. Ask whoever runs the server. Until then the numbers at the foot of the screen tell you.",
  iphone: "On an iPhone or iPad, messages come only to apps on the home screen: open the share menu of Safari, choose “Add to Home Screen”, open Batterboard from there, and come back to this page. iOS 16.4 or later is needed.",
  offline: "Needs signal for a moment: the server has to know where to call.",
  askTitle: "Hear at once when a crew answers?", askYes: "Show me how", askNo: "Not now",
  calendar: "The plan in your calendar",
  calLead: "An address with the whole plan, for the calendar of this phone or computer: work, inspections, deliveries. Whoever has the address can read the plan, so keep it to yourself.",
  slow: "Calendar programs look for changes only now and then, often once a day. What changes today you see here, not there.",
  make: "Make the address", subscribe: "Put it into my calendar", copy: "Copy the address", copied: "Address copied.",
  lost: "The address got into wrong hands?", anew: "New address, the old one ends", drop: "End the address", dropped: "The address opens nothing any more.",
};
