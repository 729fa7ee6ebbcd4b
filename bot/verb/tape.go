package verb

import (
	"heelpost/bot/ask"
	"heelpost/calc"
)

var askTape = &ask.Verb{
	Name: "tape", Summary: "what length a reading on a tape stands for in the cold or the heat, and how sure it is",
	Words:   []string{"tape", "tape correction", "steel tape", "correct tape"},
	Need:    []*ask.Input{tapeReading, tapeTemperature},
	Takes:   []*ask.Input{tapeReading, tapeTemperature, tapeClass},
	Example: "tape reads 2350 at 5 °C, class II", Exact: "tape tape_reads=2350 tape_temperature=5 °C class II",
	Answer: answerTape,
}

var tapeReading = &ask.Input{Name: "tape_reads", What: "what is read on the tape", Example: "reads 2350",
	Words: []string{"reads …", "reading", "shows …"}}

var tapeTemperature = &ask.Input{Name: "tape_temperature", Zero: true, Kind: ask.WarmthKind, What: "of the tape", Example: "5 °C",
	Words: []string{"temperature", "temp", "tape temperature"}}

var tapeClass = &ask.Input{Name: "tape_class", Kind: ask.ChoiceKind, What: "accuracy class printed on the tape: class I, II or III", Example: "class II",
	Choices: []ask.Choice{
		{Words: []string{"class I", "class i", "class one"}, Value: "I"},
		{Words: []string{"class II", "class ii", "class two"}, Value: "II"},
		{Words: []string{"class III", "class iii", "class three"}, Value: "III"},
	}}

func answerTape(k *ask.Inquiry) {
	reading, t := k.Length(tapeReading), calc.Temperature(k.Number(tapeTemperature))
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
	k.Source("expansion of a steel tape, which holds at 20 °C (ISO 1): JCGM 100:2008, H.1")
	k.Note("a steel tape; its pull, its sag and the reader are not in it, nor is the growth of what is measured")
}
