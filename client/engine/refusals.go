package engine

// whyWords says a refusal of the server in the owner's language, by its code. What a later server says
// under a code that is not known here is passed on as it came.
func (e *Engine) whyWords(code, say string) string {
	if key := "rejected." + code; e.words().Has(key) {
		return e.words().Say(key)
	}
	return say
}
