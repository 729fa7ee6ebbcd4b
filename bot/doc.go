// Package bot is the conversation: it understands a typed question, answers
// it from calc, and asks back when it can't. It exists so that what the bot
// says is the same at a terminal, in a browser and in a team's chat: it
// knows none of them, opens no socket, and takes the time as a parameter.
//
// A message goes through it in one direction:
//
//	text -> tokens -> phrases -> readings -> Question -> Answer -> Post
//
// Tokens are numbers with their units, words and marks. Phrases are the words
// that mean something, from the verb and input tables. A reading is a verb
// with a number for each of its inputs; all readings that the text allows are
// tried, and only a text with exactly one is a Question. Everything else is
// asked about: a wrong understanding is the worst outcome.
package bot
