package verb

import (
	"heelpost/bot/ask"
	"heelpost/calc"
)

var askReach = &ask.Verb{
	Name: "reach", Summary: "whether the key reaches the head pivot, and the key tube if it doesn't",
	AskedBy: []string{"?"},
	Words: []string{"reach", "what tube do i cut", "what tube do we cut", "which tube do i cut", "how long a key tube", "how long key tube", "key tube length", "how long is key tube", "how long must key tube be", "long enough for", "does key get there", "will key get there", "does my key get there", "can key reach", "can i get at it", "need longer key", "how much longer must key be", "does it reach", "will it reach", "what length tube", "what length of tube", "key reach", "key reaches", "reaches", "will key reach", "does it get there", "will it get there", "is it long enough", "is key long enough", "key long enough", "key long enough for", "which tube length", "what tube length", "how long tube", "how long must tube be", "how long is tube", "tube length", "need key tube", "what tube do i need", "which tube do i need", "do i need tube", "long enough", "get at head pivot", "get to head pivot", "how much short am i", "how short am i", "how far short", "how much short",
		"key {do for|do|be enough for|get to|get there|get in|make it|get at}",
		"{what|which} tube {for|}",
		"{what|which} length tube",
		"how long {do i|should i|must i|do we|to} {cut|make} {tube|key tube|it}",
		"{get|reach|get to|get at} {screw|pivot screw|adjusting screw|adjuster}",
		"how long {must|should|does|has|do i need|do i cut|do i need to cut|do we cut|would|will} {key tube|tube} {be|need to be|have to be|to be|}",
		"how long {a|} {key tube|tube} {do i|do we|should i} {need|cut|make|need to cut}",
		"{is|will|would} {key|that|it|this|that key|this key} {be|} {long enough|too short|long enough for it|long enough to reach}",
		"{can|will|could|does|would} {i|we|key|it|that key|that|my key} {get at|get to|reach|get at it|get to it|reach it|get at screw|get to screw|reach screw|get at head pivot|get to head pivot|reach head pivot|reach pivot|get to pivot|get at pivot|get that far|go far enough|get there}",
		"what length {key|} tube",
		"how long {a|} key",
	},
	Everyday: []string{"reach", "reaches"},
	Front:    map[string]*ask.Input{"key do for": key, "key do": key, "key be enough for": key, "key get to": key, "key make it": key, "key get there": key, "key long enough": key, "key long enough for": key, "long enough for": key, "key reach": key, "key reaches": key},
	Leads:    map[string]*ask.Input{"key long enough for": setback, "long enough for": setback, "key reach": setback, "key reaches": setback},
	Also:     map[string]*ask.Input{"… long": key},
	Claims:   map[string]*ask.Input{"head pivot screw": setback, "pivot screw": setback, "adjusting screw": setback, "screw": setback},
	Order:    []*ask.Input{setback, key}, Need: []*ask.Input{setback, key},
	Takes:   []*ask.Input{setback, key, body, stocks, kerf, second, step},
	Example: "can my key reach 280? it reaches 240", Exact: "reach setback=280 key=240 body=84 stocks 900 1800",
	Answer: answerReach,
}

var key = &ask.Input{Name: "key", Along: long, Few: "%s key", What: "how far the key reaches", Example: "240",
	Words: []string{"key", "allen key", "hex key", "torx key", "allen key reaches …", "allen key only goes …", "allen key goes …", "my key goes …", "key gets …", "key gets to …", "keys", "key reach", "it reaches …", "key goes …", "key only goes …", "key only reaches …", "key reaches …", "reaches …", "key length", "key is …", "allen key only goes …", "key only goes …", "hex key reaches …", "hex key that reaches …", "key that reaches …", "allen key that reaches …", "key which reaches …", "key that goes …", "key that goes in …", "… long key", "… allen key", "… hex key"}}

var stocks = &ask.Input{Name: "stocks", Along: long, Kind: ask.ListKind, Counted: true, What: "lengths of tube or bar at hand; 3x900 are three of 900", Example: "stocks 900 1800",
	Words: []string{"stock …", "stocks …", "tube …", "tubes …", "key tube …", "key tubes …", "tube stock …", "tube stocks …", "bars …", "bar …", "one bar …", "one tube …", "bar length …", "stock length …", "stock lengths …"}}

var body = &ask.Input{Name: "body", Along: long, Few: "%s body", What: "length of the whole pivot body", Example: "84",
	Words: []string{"body", "pivot body", "body length", "body pivot", "body length pivot"}}

var kerf = &ask.Input{Name: "kerf", Along: wide, Zero: true, What: "width of the saw's cut", Example: "3",
	Words: []string{"kerf", "saw", "saw cut", "blade", "saw blade", "blade cut"}}

var second = &ask.Input{Name: "second", Along: long, What: "second piece wanted from what is left of the stock", Example: "300",
	Words: []string{"second", "second piece", "second tube"}}

func answerReach(k *ask.Inquiry) {
	in := calc.ReachInput{Setback: k.Length(setback), Key: k.Length(key), Body: k.Length(body), Second: k.Length(second)}
	in.Stocks = k.Lengths(stocks)
	if len(in.Stocks) > 0 || k.Has(kerf) {
		in.Kerf = k.LengthOr(kerf, assumedKerf)
	}
	in.Step = k.Step(step)
	r, err := calc.Reach(in)
	if err != nil {
		k.Refuse(err)
		return
	}
	k.Truth("reaches", r.Reaches)
	k.Source("distances along the head of the leaf")
	k.General("reach", "turning the head pivot moves a heavy leaf: prop it and keep clear of where it can fall; follow the hardware maker's instructions")
	if r.Reaches {
		k.Headline("the key reaches")
		k.Working("%s setback is not more than the key's %s", k.Figure(in.Setback), k.Figure(in.Key))
		return
	}
	k.Headline("the key is %s short", k.Show(r.OverBy.SetOut))
	k.Working("%s setback − %s key = %s", k.Figure(in.Setback), k.Figure(in.Key), k.SetOut(r.OverBy))
	k.Result("over_by", r.OverBy)
	k.HideLast() // it is the headline
	k.Result("key_length", r.KeyLength)
	k.Behind()
	keyTube(k, &in, &r)
}

// keyTube adds the key tube for a longer key.
func keyTube(k *ask.Inquiry, in *calc.ReachInput, r *calc.KeyReach) {
	if in.Body == 0 {
		k.Note("give the length of the whole pivot body for the key tube to cut")
		return
	}
	k.Result("tube_length", r.TubeLength)
	k.Working("key tube: %s setback − %s body/2 = %s", k.Figure(in.Setback), k.Figure(in.Body), k.SetOut(r.TubeLength))
	if len(in.Stocks) == 0 {
		return
	}
	if r.StockLength == 0 {
		k.Mention("no stock is long enough for the key tube: a head pivot worked from above is the other way")
		return
	}
	k.Plain("stock_length", r.StockLength)
	k.Result("offcut", r.Offcut)
	k.Behind()
	k.Working("offcut: %s − %s − %s kerf = %s", k.Figure(r.StockLength), k.Figure(r.TubeLength.SetOut), k.Figure(in.Kerf), k.SetOut(r.Offcut))
	if in.Second > 0 {
		k.Truth("second_fits", r.SecondFits)
		k.Behind()
		if r.SecondFits {
			k.Headline("the key is %s short, second piece fits", k.Show(r.OverBy.SetOut))
		} else {
			k.Headline("the key is %s short, no second piece", k.Show(r.OverBy.SetOut))
		}
	}
}
