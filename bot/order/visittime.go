package order

import (
	"fmt"
	"regexp"
	"strings"
	"time"

	"heelpost/bot"
	"heelpost/bot/lex"
	"heelpost/bot/say"
)

// spokenTime puts figures for a time of day or a length that is said in words: at
// half past nine, for two hours, until 11:00 behind 9:00. Half nine is half an hour
// before nine to one and behind it to another.
func spokenTime(text string) (string, error) {
	if m := halfHour.FindStringSubmatch(text); m != nil {
		return "", bot.Refuse(say.F("%q: is that half an hour before it or behind it? say it as 9:30", strings.TrimSpace(m[0])))
	}
	text = pastHour.ReplaceAllStringFunc(text, func(s string) string {
		m := pastHour.FindStringSubmatch(s)
		h, min := hourOf(m[3]), map[string]int{"half": 30, "quarter": 15}[strings.ToLower(m[1])]
		if strings.EqualFold(m[2], "to") {
			h, min = h-1, 60-min
		}
		if h < 6 { // in the afternoon: nobody works at half past two in the night
			h += 12
		}
		return fmt.Sprintf("%d:%02d", h, min)
	})
	text = wholeHour.ReplaceAllStringFunc(text, func(s string) string {
		m := wholeHour.FindStringSubmatch(s)
		return fmt.Sprintf("at %d%s", hourOf(m[1]+m[3]), m[2])
	})
	text = barelySaid.ReplaceAllStringFunc(text, func(s string) string {
		m := barelySaid.FindStringSubmatch(s)
		if m[3] == "" {
			return fmt.Sprintf("%s %d%s", m[1], hourOf(m[2]), m[4])
		}
		min := map[byte]int{'t': 30, 'f': 15}[strings.ToLower(m[3])[0]]
		return fmt.Sprintf("%s %d:%02d%s", m[1], hourOf(m[2]), min, m[4])
	})
	text = forHours.ReplaceAllStringFunc(text, func(s string) string {
		m := forHours.FindStringSubmatch(s)
		if strings.HasPrefix(strings.ToLower(m[1]), "half") {
			return "30 min"
		}
		return fmt.Sprintf("%d h", hourOf(m[1]))
	})
	if m := untilTime.FindStringSubmatchIndex(text); m != nil {
		from, err1 := time.Parse("15:04", text[m[2]:m[3]])
		to, err2 := time.Parse("15:04", text[m[4]:m[5]])
		if err1 == nil && err2 == nil && to.After(from) {
			text = text[:m[3]] + fmt.Sprintf(" %d min", int(to.Sub(from).Minutes())) + text[m[1]:]
		}
	}
	return text, nil
}

const hours = `one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve`

var (
	halfHour  = regexp.MustCompile(`(?i)\bhalf (?:` + hours + `|\d{1,2})\b`)
	pastHour  = regexp.MustCompile(`(?i)\b(?:a )?(half|quarter) (past|to) (` + hours + `|\d{1,2})\b`)
	wholeHour = regexp.MustCompile(`(?i)\bat (` + hours + `)($|[\s,]+(?:@|for\b|because\b|\d))|\b(?:at )?(` + hours + `|\d{1,2}) o['’]?clock\b`)
	// barelySaid is an hour in words right behind a day: Thursday nine thirty.
	barelySaid = regexp.MustCompile(`(?i)((?:day|tomorrow|today|\bmon|\btue|\bwed|\bthu|\bfri|-\d\d),?(?: at)?) (` + hours + `)(?: (thirty|fifteen))?($|[\s,]+(?:@|for\b|because\b|\d))`)
	forHours   = regexp.MustCompile(`(?i)\bfor (an?|` + hours + `|half an) hours?\b`)
	untilTime  = regexp.MustCompile(`(?i)\b(\d{1,2}:\d\d)\s*(?:until|till|to|-|–)\s*(\d{1,2}:\d\d)\b`)
)

// hourOf reads an hour in words or figures.
func hourOf(text string) (h int) {
	text = strings.ToLower(text)
	if text == "a" || text == "an" {
		return 1
	}
	for i, w := range strings.Split(hours, "|") {
		if w == text {
			return i + 1
		}
	}
	fmt.Sscan(text, &h)
	return h
}

// moreTime matches what stands behind a day and its time and is of them rather than
// what the visit is for: or 10:00, 2-3 h, cancelled.
var moreTime = regexp.MustCompile(`(?i)^(?:or|till|until|maybe|if|unless|except|not (?:at|on|before|after|until|to|mon|tue|wed|thu|fri|sat|sun|\d)|instead|cancel\w*|called off|postponed|put off|half|quarter|o['’]?clock|same|for (?:an?|half|all|\d+|` + hours + `|the (?:day|morning|afternoon))|all (?:day|morning|afternoon))\b|\?|\b\d{1,2}:\d\d\b|\b\d+\s*(?:h|hrs?|hours?|min|minutes)\b`)

// ofVisit refuses what is no reason of a visit.
func ofVisit(why string) error {
	if m := moreTime.FindString(why); m == "" {
		return nil
	}
	return bot.Refuse(say.F("%q: is that of when it is, or of what it is for? say day, time, length and people, as visit Thursday 9:00 2h @bo, and what it is for behind because", lex.CutText(why, 40)))
}

// keptTime puts to a move what it does not say and the visit has: the day for a time
// alone, the time for a day alone. A day that is over is none to keep.
func keptTime(text string, was, now time.Time) string {
	text = strings.TrimSpace(sameTime.ReplaceAllString(text, ""))
	switch m := dayAlone.FindStringSubmatch(text); {
	case timeAlone.MatchString(text) && now.Before(was):
		return was.Format(time.DateOnly) + " " + strings.TrimPrefix(strings.ToLower(text), "at ")
	case m != nil:
		return strings.TrimSpace(m[1] + " " + was.Format("15:04") + " " + m[2])
	}
	return text
}

var (
	sameTime  = regexp.MustCompile(`(?i)[\s,]*\b(?:at )?(?:the )?same (?:time|hour)\b`)
	timeAlone = regexp.MustCompile(`(?i)^(?:at )?(?:\d{1,2}:\d\d(?:\s*[ap]m)?|noon|midday)(?:\s+(?:because|to)\b.*)?$`)
	dayAlone  = regexp.MustCompile(`(?i)^((?:on |next )?(?:mon|tues?|wednes|wed|thu|thurs?|fri|satur|sat|sun)(?:day)?|tomorrow|today|\d{4}-\d\d-\d\d)\b[\s,]*((?:because|to)\b.*)?$`)
)
