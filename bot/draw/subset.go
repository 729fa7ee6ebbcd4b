package draw

import (
	"encoding/binary"
	"slices"

	"golang.org/x/image/font/gofont/goregular"
)

// kept are the tables that a font needs to be shown, in their order.
var kept = []string{"OS/2", "cmap", "glyf", "head", "hhea", "hmtx", "loca", "maxp", "name", "post"}

// subset returns the font with the outlines of a text's characters alone, for a
// file that must not be large: glyphs keep their numbers, the others are empty,
// and what helps screens of few pixels is left out. The format is OpenType's
// (ISO/IEC 14496-22), tables by that name.
func subset(text string) []byte {
	tables := tablesOf(goregular.TTF)
	loca, glyf := tables["loca"], tables["glyf"]
	long := binary.BigEndian.Uint16(tables["head"][50:]) == 1
	place := func(i int) int {
		if long {
			return int(binary.BigEndian.Uint32(loca[4*i:]))
		}
		return 2 * int(binary.BigEndian.Uint16(loca[2*i:]))
	}
	used := map[int]bool{0: true}
	for _, r := range text {
		use(used, int(glyphOf(r).index), func(i int) []byte { return glyf[place(i):place(i+1)] })
	}
	n := int(binary.BigEndian.Uint16(tables["maxp"][4:]))
	var outlines, places []byte
	for i := range n {
		places = binary.BigEndian.AppendUint32(places, uint32(len(outlines)))
		if used[i] {
			outlines = padded(append(outlines, glyf[place(i):place(i+1)]...))
		}
	}
	tables["loca"], tables["glyf"] = binary.BigEndian.AppendUint32(places, uint32(len(outlines))), outlines
	head := slices.Clone(tables["head"])
	binary.BigEndian.PutUint16(head[50:], 1) // long places
	binary.BigEndian.PutUint32(head[8:], 0)
	tables["head"] = head
	maxp := slices.Clone(tables["maxp"])
	clear(maxp[14:28]) // no instructions
	tables["maxp"] = maxp
	post := slices.Clone(tables["post"][:32])
	binary.BigEndian.PutUint32(post, 3<<16) // no names of glyphs
	tables["post"] = post
	return assembled(tables)
}

// use notes a glyph, and those that it is composed of.
func use(used map[int]bool, i int, outline func(int) []byte) {
	used[i] = true
	b := outline(i)
	if len(b) == 0 || int16(binary.BigEndian.Uint16(b)) >= 0 {
		return
	}
	const words, scaled, more, twoScales, matrix = 1, 8, 32, 64, 128
	for b = b[10:]; ; {
		flags := binary.BigEndian.Uint16(b)
		use(used, int(binary.BigEndian.Uint16(b[2:])), outline)
		size := 6
		if flags&words != 0 {
			size += 2
		}
		switch {
		case flags&scaled != 0:
			size += 2
		case flags&twoScales != 0:
			size += 4
		case flags&matrix != 0:
			size += 8
		}
		if flags&more == 0 {
			return
		}
		b = b[size:]
	}
}

func tablesOf(font []byte) map[string][]byte {
	all := map[string][]byte{}
	for i := range int(binary.BigEndian.Uint16(font[4:])) {
		entry := font[12+16*i:]
		at, size := binary.BigEndian.Uint32(entry[8:]), binary.BigEndian.Uint32(entry[12:])
		all[string(entry[:4])] = font[at : at+size]
	}
	return all
}

// assembled puts the kept tables into a font file.
func assembled(tables map[string][]byte) []byte {
	n := len(kept)
	out := binary.BigEndian.AppendUint32(nil, 0x10000)
	for _, v := range [...]int{n, 128, 3, 16*n - 128} { // 8 is the largest power of two in 10
		out = binary.BigEndian.AppendUint16(out, uint16(v))
	}
	at := len(out) + 16*n
	var body []byte
	head := 0
	for _, name := range kept {
		t := tables[name]
		if name == "head" {
			head = at + len(body)
		}
		out = append(out, name...)
		out = binary.BigEndian.AppendUint32(out, checksum(t))
		out = binary.BigEndian.AppendUint32(out, uint32(at+len(body)))
		out = binary.BigEndian.AppendUint32(out, uint32(len(t)))
		body = append(body, padded(slices.Clone(t))...)
	}
	out = append(out, body...)
	binary.BigEndian.PutUint32(out[head+8:], 0xB1B0AFBA-checksum(out))
	return out
}

func checksum(b []byte) (sum uint32) {
	for b = padded(slices.Clone(b)); len(b) > 0; b = b[4:] {
		sum += binary.BigEndian.Uint32(b)
	}
	return sum
}

func padded(b []byte) []byte {
	for len(b)%4 != 0 {
		b = append(b, 0)
	}
	return b
}
