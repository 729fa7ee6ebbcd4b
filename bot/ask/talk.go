package ask

import (
	_ "embed"
	"regexp"
	"strings"
)

// talk are the words by which people talk round a question, gone through one by
// one: none of them can change a number or what is asked, wherever it stands. A
// word that could is not here, however often it is said: about, half, off, out,
// only, old, used, forget, maybe, once, left, right, fast, dry, take, set, mean.
var talk = strings.Fields(strings.Join([]string{
	// who says it, and to whom
	`im ive you'd you've he's she's there'll here's who who's whos let's lets ya yous him hers theirs ours yours mine herself themselves someone somebody
		anyone anybody everyone everybody folk folks people's pal buddy bro maam ladies gents gentlemen`,
	// courtesy
	`best greetings welcome howdy hiya evening afternoon bothering bothered pardon excuse apologies appreciated grateful`,
	// saying
	`say said saying telling ask asking knows knew wonder hear heard see sees saw seen looked shown explain remind reminds reminded confirms confirmed
		checks checked verify suggest suggests suggested mention mentioned recommend recommends recommended remember understand understood agree agrees agreed
		decide decided calculated figure figured answer answered question questions`,
	// doing
	`did doing done went coming makes making puts putting tries tried try trying works worked starts started starting getting needing brings brought bought
		buy buying ordered ordering delivered staying happens happen happened help helps helped helping sends sent send writes wrote written runs running
		called calls calling measure measuring existing replacement built builds framed formed cast designed reckoned`,
	// might be
	`may might shall been being had`,
	// when
	`monday tuesday wednesday thursday friday saturday sunday lunch lunchtime noon midday soon yesterday while since although though cause cos`,
	// how
	`literally honestly obviously clearly definitely certainly precisely correctly properly quickly quick very too quite well anyway anyhow however
		therefore otherwise nice great good fine perfect lovely cool correct proper ideal ideally usual usually normal normally typical typically standard new
		current actual final hurry busy stupid silly daft dumb curious stuck confused lost bloody damn blimey crikey`,
	// telling, bringing, deciding and how it feels
	`complain complains complained argue argues arguing phone phoned phones ringing rang texted email emailed message messaged shout shouted shouting
		talked talking chat chatting speak spoke speaking spoken discuss discussed discussing sketch sketched jotted scribbled printed landed deliver delivers
		unload unloaded unloading drive drove driving arrive arriving begin began prepare prepared preparing quote quoted allow allows allowed allowing chose
		pick picked follow follows followed includes moan moans moaned moaning nagging chasing sorted sorting settle settled listen rushing panicking panic
		struggling struggle keen happy glad afraid eventually finally honest seriously genuinely frankly straightaway
		immediately urgently urgent soonest shortly meanwhile anyways righto aye yeah yep yup hmm hmmm err umm oops lol haha ha cheerio ciao january february
		april june july september october november december fortnight weekend 				query queries info advice guidance feedback tricky easy odd weird strange funny interesting
		obvious important serious awkward annoying phoning texting`,
	// what there is
	`product products thing things stuff something anything number numbers value values result detail details problem issue case example idea moment sec sort lot`,
}, " "))

// everyday are the words of everyday.txt, which are talk as well: people, what they
// do all day and how they like it.
var everyday = strings.Fields(regexp.MustCompile(`(?m)^#.*`).ReplaceAllString(everydayFile, ""))

//go:embed everyday.txt
var everydayFile string

// people are those of whom it is told what they say. Alone they may be what a
// number is of: the apprentice is 90 kg.
var people = strings.Fields(`architect client customer owner builder contractor carpenter joiner installer fitter glazier tiler plasterer plumber electrician supplier foreman boss gaffer
	apprentice supervisor engineer designer inspector manager colleague guy chap bloke lad mate sheet drawing plan spec office
	labourer trainee helper neighbour landlord tenant caretaker janitor`)

// places are where people are and doors are, of which they say that they are in them.
var places = strings.Fields(`van lorry truck yard depot workshop warehouse store office kitchen hotel school hospital clinic nursery creche library museum restaurant
	lobby lounge bedroom bathroom corridor hallway flat house villa garden garage courtyard reception studio gallery showroom church cafe bar gym theatre town car box stock`)

// containers are what an adhesive comes in, and what is printed on it: told what it says.
var containers = strings.Fields(`tin tub tube cartridge can bottle pack packet bag bucket label box pail pot instructions leaflet datasheet resin glue adhesive mortar epoxy
	maker manufacturer product stuff`)

// sayings returns the phrases of somebody who tells what another one said.
func sayings() (all []string) {
	for _, who := range people {
		for _, says := range []string{"says", "said", "say", "reckons", "told me", "told us", "tells me", "asked", "asks", "gave us", "gave me", "gives", "shows"} {
			all = append(all, who+" "+says)
		}
	}
	for _, where := range places {
		all = append(all, "in "+where)
	}
	for _, what := range containers {
		for _, says := range []string{"says", "says it needs", "gives", "quotes", "states", "wants", "needs", "takes"} {
			all = append(all, what+" "+says)
		}
		for _, by := range []string{"according to", "as per", "going by", "on"} {
			all = append(all, by+" "+what)
		}
	}

	return append(all, "quick one", "quick question", "bit of a rush", "bit of a hurry", "came out at", "comes out at", "turned out", "turns out", "works out at", "sorry to bother you", "morning all")
}
