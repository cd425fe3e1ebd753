package engine

// PeopleView is the crews as people one can ring or write to, for address books.
type PeopleView struct {
	Country string   `json:"country"` // whose numbers are written without the country's code; empty: nobody said
	People  []Person `json:"people"`
}

// Person is one of them, and one that an address book brings: ID names the crew whose facts it fills,
// none makes a new crew.
type Person struct {
	ID      string `json:"id,omitempty"`
	Name    string `json:"name"`
	Trade   string `json:"trade,omitempty"`
	Contact string `json:"contact,omitempty"`
	Phone   string `json:"phone,omitempty"` // E.164
	Email   string `json:"email,omitempty"`
}
