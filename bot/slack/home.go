package slack

import (
	"fmt"

	"github.com/slack-go/slack"

	"heelpost/bot"
	"heelpost/bot/say"
)

// home shows a person's home tab. link returns the address of a door's
// thread, "" if there is none. The last line counts what does not fit in.
func home(in *say.Language, h bot.Home, link func(site, door string) string) slack.HomeTabViewRequest {
	var blocks []slack.Block
	if len(h.Filters) > 0 {
		blocks = append(blocks, filter(in, h))
	}
	turn := turns(in, h)
	bytes, left := weight(turn...)+weight(blocks...), 0
	add := func(more ...slack.Block) bool {
		n := weight(more...)
		if left > 0 || len(blocks)+len(more)+len(turn) >= maxBlocks || bytes+n > maxView {
			return false
		}
		blocks, bytes = append(blocks, more...), bytes+n
		return true
	}
	for _, s := range h.Sections {
		title := []slack.Block{slack.NewHeaderBlock(plainText(s.Title, maxHeader))}
		for _, l := range s.Lines {
			if !add(append(title, homeLine(in, l, link)...)...) {
				left++
			}
			title = nil
		}
		if title != nil {
			add(title...)
		}
	}
	if left > 0 {
		blocks = append(blocks, note(in.Say(say.F("and %s more", left))))
	}
	if len(blocks) == 0 {
		blocks = append(blocks, note(in.Say(say.F("nothing here yet"))))
	}
	return slack.HomeTabViewRequest{Type: slack.VTHomeTab, Blocks: slack.Blocks{BlockSet: append(blocks, turn...)}}
}

// filter is the menu of what the doors can be narrowed by.
func filter(in *say.Language, h bot.Home) slack.Block {
	e := slack.NewOptionsSelectBlockElement(slack.OptTypeStatic, plainText(in.Say(say.F("Show")), maxHeader), "filter", choices(h.Filters)...)
	for _, o := range e.Options {
		if o.Value == h.Filter {
			e.InitialOption = o
		}
	}
	return slack.NewActionBlock("filter", e)
}

// turns shows which page it is, and turns to those beside it. The buttons
// carry the filter in force.
func turns(in *say.Language, h bot.Home) []slack.Block {
	if h.Pages <= 1 {
		return nil
	}
	var all []slack.BlockElement
	to := func(page int, label say.Text) {
		if page >= 1 && page <= h.Pages {
			all = append(all, slack.NewButtonBlockElement(fmt.Sprintf("page:%d", page), h.Filter, plainText(in.Say(label), maxButton)))
		}
	}
	to(h.Page-1, say.F("Back to page %s", h.Page-1))
	to(h.Page+1, say.F("On to page %s", h.Page+1))
	return append(rows("page", all), note(in.Say(say.F("page %s of %s", h.Page, h.Pages))))
}

// homeLine shows a line, with its buttons and the way to its door's thread.
func homeLine(in *say.Language, l bot.HomeLine, link func(site, door string) string) []slack.Block {
	all := actions(l.Buttons, press{Site: l.Site, Door: l.Door})
	if l.Door != "" {
		if url := link(l.Site, l.Door); url != "" {
			all = append(all, slack.NewButtonBlockElement("open", "", plainText(in.Say(say.F("Thread")), maxButton)).WithURL(url))
		}
	}
	for _, b := range all { // who can't see the line they stand in hears which door they are for
		if b := b.(*slack.ButtonBlockElement); l.Door != "" {
			b.AccessibilityLabel = plainText(in.Say(say.F("%s, door %s", b.Text.Text, l.Door)), maxButton).Text
		}
	}
	var blocks []slack.Block
	for text := oneLine(l.Text); text != ""; {
		part := text
		if text = ""; size(part) > maxSection {
			part, text = cut(part, maxSection)
		}
		blocks = append(blocks, slack.NewSectionBlock(slack.NewTextBlockObject(slack.PlainTextType, part, false, false), nil, nil))
	}
	if len(all) == 1 && len(blocks) > 0 {
		blocks[0].(*slack.SectionBlock).Accessory = slack.NewAccessory(all[0])
		return blocks
	}
	return append(blocks, rows("", all)...)
}

// note is a line in small print.
func note(text string) slack.Block { return slack.NewContextBlock("", plainText(text, maxLabel)) }
