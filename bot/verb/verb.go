// Package verb has the questions that the bot answers, a file each: the words
// that ask it, the quantities it takes, the calculation, and how the answer is
// told. It exists so that a new question is one new file. Quantities that
// several questions share stand in input.go.
package verb

import (
	"heelpost/bot/ask"
	"heelpost/calc"
)

// all are the questions, in the order in which help lists them.
var all = safe(askGap, askSetback, askThickness, askPlate, askStop, askReach, askClear, askLeaf, askLift, askCure, askPlumb, askStand,
	askMass, askLoad, askClosing, askLife, askSquare, askTurns, askTape, askScreed, askSun, askMoisture, askRWL, askAccess,
	askCut, askMargins, askFlush, askPinch, askGlue, askPins, askLevel, askFlatness, askOpening, askMark, askFits)

// Questions are all of them, ready to be asked.
var Questions = ask.Must(ask.New(all...))

// Values that are assumed unless said: common practice, no published source.
const (
	assumedClearance = 2 * calc.Millimetre
	assumedKerf      = 3 * calc.Millimetre
)

// Sources and cautions that several answers share.
const (
	sagittaSource  = "growth is the sagitta of a circle segment: Machinery's Handbook, 31st ed., p. 83"
	cornerSource   = "growth is how far a corner of the edge comes round the axis: plane geometry"
	geometrySource = "plane geometry of the leaf's corners as it turns"
	trapCaution    = "the gap closes on fingers as the leaf turns: keep hands off the moving edge"
	evidence       = "a fire or smoke door takes its gaps from its test evidence, not from here; the hardware maker's instructions come first"
	locate         = "before drilling, have pipes, cables, tendons and membranes located and the circuit switched off where one is near; follow the hardware maker's drilling instructions"
	plumbUp        = "plumb the head plate's centre up from the floor plate's, never measure it from the jamb"
)
