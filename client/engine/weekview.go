package engine

import "batterboard/schedule"

// WeekView is the printed sheet of one week: who comes, what is held, what can hurt, whom to ring.
type WeekView struct {
	Title    string        `json:"title"` // "Week of Monday 5 April"
	Day      schedule.Day  `json:"day"`   // its Monday
	Before   schedule.Day  `json:"before"`
	After    schedule.Day  `json:"after"`
	Site     string        `json:"site"`
	Lines    []string      `json:"lines"` // address, way in, whom to ask
	Days     []WeekDay     `json:"days"`
	Holds    []WeekHold    `json:"holds"`
	Cautions []WeekCaution `json:"cautions"`
	Contacts []WeekContact `json:"contacts"`
	Printed  string        `json:"printed"` // when it was made: paper does not follow the plan
	Foot     string        `json:"foot"`
}

type WeekDay struct {
	Day   Day      `json:"day"`
	Today bool     `json:"today"`
	Lines []string `json:"lines"` // "8:00 am – 4:30 pm · Electric · Rough electrical · Room"
	Shut  string   `json:"shut,omitempty"`
}

type WeekHold struct {
	Name   string   `json:"name"`
	Status string   `json:"status"`
	Shuts  string   `json:"shuts"` // what stays open until it is signed
	Ready  []string `json:"ready"`
}

type WeekCaution struct {
	Text  string `json:"text"`
	Defer string `json:"defer"`
	Stop  bool   `json:"stop"`
	For   string `json:"for"`             // the work it is about
	Acked string `json:"acked,omitempty"` // by whom and when; empty: a line to sign
}

type WeekContact struct {
	Who   string `json:"who"`
	What  string `json:"what"` // their trade or what they bring; empty where the name says it
	Phone string `json:"phone"`
}
