package ask

import (
	"regexp"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"heelpost/bot/lex"
	"heelpost/bot/say"
)

// MaxLogFile is how much of a temperature log is read: a reading every five minutes
// for a week has half of it.
const MaxLogFile = maxLog

// LogFile is a temperature log as a file: what a logger writes, a line for each
// reading, as 2027-03-01 18:30,9.
type LogFile struct {
	Name string
	Size int // where more is known of it than was read
	Data []byte
}

var (
	clockIn   = regexp.MustCompile(`\d{1,2}:\d\d`)
	dayFirst  = regexp.MustCompile(`\b(\d{1,2})\.(\d{1,2})\.(\d{4})\b`)
	slashed   = regexp.MustCompile(`\b(\d{4})/(\d\d)/(\d\d)\b`)
	commaPart = regexp.MustCompile(`(\d),(\d)`)
	oneDigit  = regexp.MustCompile(`-(\d)\b`)
)

// NoText says that the file is none.
func (f *LogFile) NoText() say.Text {
	return say.F("%s is no text: a temperature log is a text file, .csv or .txt, with a line for each reading, as 2027-03-01 18:30,9", f.Name)
}

// Under puts the lines of the log under a question, of the verb that takes one if
// it names none. What is no log is refused, in words: nothing of it is left out but
// lines that have no time of day, as a logger's own name, which the second text
// tells of.
func (f *LogFile) Under(question string, q *Questions) (text string, left, no say.Text) {
	if size := max(f.Size, len(f.Data)); size > MaxLogFile {
		return "", left, say.F("%s has %s kB, and I read %s kB at most: send the readings since the bonding", f.Name, (size+999)/1000, MaxLogFile/1000)
	}
	content, ok := f.text()
	if !ok {
		return "", left, f.NoText()
	}
	var kept, others []string
	for i, line := range strings.Split(strings.ReplaceAll(content, "\r", "\n"), "\n") {
		line = strings.TrimSpace(strings.ReplaceAll(line, `"`, ""))
		if strings.ContainsAny(line, ";\t") {
			line = commaPart.ReplaceAllString(line, "$1.$2") // 9,5
		}
		line = slashed.ReplaceAllString(dayFirst.ReplaceAllStringFunc(line, isoDay), "$1-$2-$3")
		at := timedLine.FindStringIndex(line)
		switch {
		case line == "":
		case at != nil && strings.Trim(line[:at[0]]+line[at[1]:], " \t,;") == "":
			kept = append(kept, line)
		case clockIn.MatchString(line):
			return "", left, say.F("line %s of %s is %q: write it as a time and a temperature, as 2027-03-01 18:30,9", i+1, f.Name, lex.CutText(line, 60))
		default:
			others = append(others, line)
		}
	}
	if len(kept) == 0 {
		return "", left, say.F("%s has no line with a time and a temperature, as 2027-03-01 18:30,9", f.Name)
	}
	if len(others) > 0 {
		left = say.F("lines of %s without a time, left out: %s", f.Name, lex.CutText(strings.Join(others, "; "), 100))
	}
	if v := q.VerbIn(question); v == nil {
		question = q.timed().Name + " " + question
	}
	return strings.TrimSpace(question) + "\n" + strings.Join(kept, "\n"), left, say.Text{}
}

// Takes reports whether a question may have a log under it: it asks what one stands
// in for, or nothing.
func (q *Questions) TakesLog(question string) bool {
	v := q.VerbIn(question)
	return v == nil || v.Timed != nil
}

// timed returns the verb that takes a log.
func (q *Questions) timed() *Verb {
	for _, v := range q.verbs {
		if v.Timed != nil {
			return v
		}
	}
	panic("no question takes a log") // they are written into the program
}

// isoDay turns 1.3.2027 into 2027-03-01.
func isoDay(day string) string {
	m := dayFirst.FindStringSubmatch(day)
	return oneDigit.ReplaceAllString(m[3]+"-"+m[2]+"-"+m[1], "-0$1")
}

// text returns the file as text: UTF-8, UTF-16 as spreadsheets save it, or the
// Latin letters of old loggers, of which °C has one; false if it is none.
func (f *LogFile) text() (string, bool) {
	data := f.Data
	if little := len(data) > 1 && data[0] == 0xff && data[1] == 0xfe; little || len(data) > 1 && data[0] == 0xfe && data[1] == 0xff {
		var units []uint16
		for i := 2; i+1 < len(data); i += 2 {
			hi, lo := data[i], data[i+1]
			if little {
				hi, lo = lo, hi
			}
			units = append(units, uint16(hi)<<8|uint16(lo))
		}
		return string(utf16.Decode(units)), true
	}
	for _, c := range data {
		if c < ' ' && c != '\n' && c != '\r' && c != '\t' {
			return "", false
		}
	}
	if utf8.Valid(data) {
		return strings.TrimPrefix(string(data), "\ufeff"), true
	}
	runes := make([]rune, len(data))
	for i, c := range data {
		runes[i] = rune(c)
	}
	return string(runes), true
}
