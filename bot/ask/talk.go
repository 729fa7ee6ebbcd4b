package ask

import "strings"

// talk are the words by which people talk round a question, gone through one by
// one: none of them can change a number or what is asked, wherever it stands. A
// word that could is not here, however often it is said: about, half, off, out,
// only, old, used, forget, maybe, once, left, right, fast, dry, take, set, mean.
var talk = strings.Fields(strings.Join([]string{
	// who says it, and to whom
	`i'm i'd i'll im ive we're we'd we'll we've you're you'd you'll you've he he's she she's they they're they've it'll that's that'll there'll here's who who's whos let's lets u ur ya yous
	him his her hers their theirs ours yours mine myself yourself himself herself ourselves themselves someone somebody anyone anybody everyone everybody folk folks people's pal buddy bro dude sir madam maam ladies gents gentlemen`,
	// courtesy
	`kindly kind regards best dear greetings welcome howdy hiya yo evening afternoon everyone bother bothering bothered pardon excuse apologies appreciated grateful`,
	// saying
	`say said saying told telling ask asks asked asking knows knew wonder wondering hear heard see sees saw seen look looks looked looking
	shown explain remind reminds reminded confirms confirmed check checks checked checking verify suggest suggests suggested mention mentioned recommend recommends recommended
	remember understand understood agree agrees agreed decide decided calculated calculating figure figured answer answered question questions`,
	// doing
	`did doing done went comes coming makes making gives gave given puts putting tries tried try trying works working worked starts started starting getting gets gotta gonna wanna needing
	brings brought bought buy buying ordered ordering delivered arrives arrived sits sitting stays staying happens happen happened help helps helped helping sends sent send
	writes wrote written runs running goes called calls calling measure measuring measures`,
	// might be
	`may might shall been being am having had unheated`,
	// when
	`monday tuesday wednesday thursday friday saturday sunday weekend lunch lunchtime noon midday soon yesterday already just while since although though because cause cos`,
	// how
	`actually basically simply literally honestly obviously clearly definitely certainly precisely correctly properly quickly quick exact very really too also quite so well again anyway anyhow however therefore otherwise
	nice great good fine perfect lovely cool correct correctly proper ideal ideally usual usually normal normally typical typically standard new current currently actual final
	rush hurry busy stupid silly daft dumb curious stuck confused lost bloody damn blimey crikey`,
	// what there is
	`thing things stuff something anything number numbers value values result detail details problem issue case example idea moment sec sort kind lot`,
}, " "))

// people are those of whom it is told what they say. Alone they may be what a
// number is of: the apprentice is 90 kg.
var people = strings.Fields(`architect client customer owner builder contractor carpenter joiner installer fitter glazier tiler plasterer plumber electrician supplier foreman boss gaffer
	apprentice supervisor engineer designer inspector manager colleague guy chap bloke lad mate sheet drawing plan spec office`)

// sayings returns the phrases of somebody who tells what another one said.
func sayings() (all []string) {
	for _, who := range people {
		for _, says := range []string{"says", "said", "say", "reckons", "told me", "told us", "tells me", "asked", "asks", "gave us", "gave me", "gives", "shows"} {
			all = append(all, who+" "+says)
		}
	}
	return append(all, "quick one", "quick question", "bit of a rush", "bit of a hurry", "came out at", "comes out at", "turned out", "turns out", "works out at", "sorry to bother you", "morning all")
}
