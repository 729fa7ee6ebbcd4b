package lex

// Asking are the words after which a verb is what is asked for, not an input:
// what setback for a gap of 9.
var Asking = []string{"what", "what's", "whats", "which", "calculate", "find", "how much", "can", "does", "will"}

// Denials are the words after which something is not so. What is not so is
// asked about: a choice that is denied is not the choice made.
var Denials = []string{"not", "no", "never", "without", "isn't", "isnt", "aren't", "arent", "don't", "dont", "doesn't", "doesnt", "nor", "neither", "except", "unless"}

// PlainWords are common words near to one of ours, that are never taken for a
// slip.
var PlainWords = WordSet(`
	think thing things thinks through though thought these those their tried trick thin seating sitting setting
	settings stops stuff start still steel sound weight weights wheel wheels white whole leans learn learns means
	leaves leave least level lever later letter letters around ground found bound mounting counting covers
	cleaning cleaned cleans clears clearly close closed closing height heights heightened hinge hinges handled
	handling opens opener opened plates plated placed place places planned plain plank planks reached reaching
	late lap laps left life lead leads holes times time title teaches reveals ready really gaps gape tiles title titles three there where were hall till laser windy paint stuck thinnest sanding narrowest smallest`)
