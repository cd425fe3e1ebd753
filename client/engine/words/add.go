package words

// add puts the sentences of one part of the tool into both languages; a part keeps them side by side
// in a file of its own. A key that is there already is a slip of ours and stops the program at once.
func add(english, spanish map[string]string) {
	for k, v := range english { // any order: every key is put once
		if _, twice := en.text[k]; twice {
			panic("words: " + k + " is there already")
		}
		en.text[k] = v
	}
	for k, v := range spanish { // any order: every key is put once
		if _, twice := es.text[k]; twice {
			panic("words: " + k + " está repetido")
		}
		es.text[k] = v
	}
}
