package verb

import (
	"heelpost/bot/ask"
	"heelpost/calc"
)

var askTape = &ask.Verb{
	Name: "tape", Summary: "what length a reading on a tape stands for in the cold or the heat, and how sure it is",
	Words:   []string{"tape", "real length", "actual length", "correct length", "how far is tape out", "how far is steel tape out", "how far out is tape", "how much is tape out", "tape error", "what is it in truth", "what does it really measure", "tape correction", "steel tape", "what is it really", "what is that really", "how long is it really", "correct tape", "what is true length", "what's true length", "what true length", "what is real length", "what is right length", "true length"},
	Leads:   map[string]*ask.Input{"tape": tapeReading, "steel tape": tapeReading},
	Also:    map[string]*ask.Input{"over …": tapeReading, "… on tape": tapeReading, "… on steel tape": tapeReading, "… on my tape": tapeReading, "measured …": tapeReading, "says …": tapeReading, "read …": tapeReading, "tape says …": tapeReading, "tape shows …": tapeReading, "outside": tapeTemperature},
	Need:    []*ask.Input{tapeReading, tapeTemperature},
	Instead: map[*ask.Input][]*ask.Input{tapeReading: {trueLength}},
	Takes:   []*ask.Input{tapeReading, trueLength, tapeTemperature, tapeClass},
	Example: "tape reads 2350 at 5 °C, class II", Exact: "tape tape_reads=2350 tape_temperature=5 °C class II",
	Answer: answerTape,
}

var tapeReading = &ask.Input{Name: "tape_reads", What: "what is read on the tape", Example: "reads 2350",
	Words: []string{"reads …", "reading", "shows …"}}

var trueLength = &ask.Input{Name: "true_length", What: "length to be set out, for what the tape shows there", Example: "mark 2350",
	Words: []string{"mark", "to mark …", "true length"}}

var tapeTemperature = &ask.Input{Name: "tape_temperature", Warmest: warmestAir, Zero: true, Kind: ask.WarmthKind, What: "of the tape", Example: "5 °C",
	Words: []string{"temperature", "temp"}}

var tapeClass = &ask.Input{Name: "tape_class", Kind: ask.ChoiceKind, What: "accuracy class printed on the tape: class I, II or III", Example: "class II",
	Choices: []ask.Choice{
		{Words: []string{"class I", "class i", "class one"}, Value: "I"},
		{Words: []string{"class II", "class ii", "class two"}, Value: "II"},
		{Words: []string{"class III", "class iii", "class three"}, Value: "III"},
	}}

func answerTape(k *ask.Inquiry) {
	t := calc.Temperature(k.Number(tapeTemperature))
	if k.Q.Named(trueLength) != nil {
		setOut(k, t)
		return
	}
	reading := k.Length(tapeReading)
	class := map[string]calc.TapeClass{"I": calc.ClassI, "II": calc.ClassII, "III": calc.ClassIII}[k.Word(tapeClass)]
	r, err := calc.Tape(reading, t, calc.TapeSteel, class)
	if err != nil {
		k.Refuse(err)
		return
	}
	length := calc.Dimension{Exact: r.Length, SetOut: r.Length.Nearest(calc.Millimetre / 100)}
	k.Result("length", length)
	k.Plain("correction", r.Correction.Nearest(calc.Micrometre))
	k.Working("%s × (1 + %s × (%s − 20 °C)) = %s", k.Figure(reading), calc.TapeSteel, t, k.Show(length.SetOut))
	if class == calc.UnsaidClass {
		k.Note("give the class printed on the tape for how sure the reading is")
	} else {
		k.Plain("uncertainty", r.Uncertainty)
		k.Working("uncertainty, either way, by its class: %s", k.Show(r.Uncertainty))
		k.Source("classes of tapes: directive 2014/32/EU, annex X, from memory")
	}
	steelTape(k)
}

// setOut answers what the tape shows at a length that is to be set out.
func setOut(k *ask.Inquiry, t calc.Temperature) {
	if k.Q.Named(tapeReading) != nil {
		k.Fail("give what the tape reads or the length to mark, one of them")
		return
	}
	l := k.Length(trueLength)
	reading, err := calc.TapeReading(l, t, calc.TapeSteel)
	if err != nil {
		k.Refuse(err)
		return
	}
	told := calc.Dimension{Exact: reading, SetOut: reading.Nearest(calc.Millimetre / 100)}
	k.Result("reading", told)
	k.Working("%s / (1 + %s × (%s − 20 °C)) = %s", k.Figure(l), calc.TapeSteel, t, k.Show(told.SetOut))
	if k.Word(tapeClass) != "" {
		k.Note("how sure it is by the tape's class is told for a reading")
	}
	steelTape(k)
}

// steelTape adds what every answer about a tape rests on.
func steelTape(k *ask.Inquiry) {
	k.Source("expansion of a steel tape, which holds at 20 °C (ISO 1): JCGM 100:2008, H.1")
	k.Note("a steel tape; its pull, its sag and the reader are not in it, nor is the growth of what is measured")
}
