package report

import "elbowroom/report/pdf"

// hold says how firmly a strip stays on one page with the strip after it.
type hold int

const (
	loose hold = iota // the page may end after it
	weak              // it may when the whole would not fit on a page
	firm              // it may only where even the firm part is larger than a page
)

// strip is a stretch of a column that is never broken.
type strip struct {
	before float64 // room above it, left out at the top of a page
	high   float64
	hold   hold
	again  *repeated // what is said again at the top of a page that begins with it
	paint  func(c pdf.Canvas)
	apart  bool // begins a page
	ruled  bool // a line stands above it, but not at the top of a page
}

// repeated is what stands again at the top of a page where a table or a step
// goes on.
type repeated struct{ strips []strip }

func (r *repeated) high() float64 {
	if r == nil {
		return 0
	}
	return height(r.strips)
}

// height returns how high strips are together at the top of a page.
func height(list []strip) float64 {
	h := 0.0
	for i, s := range list {
		if i > 0 {
			h += s.before
		}
		h += s.high
	}
	return h
}

// placed is a strip with its place on a page.
type placed struct {
	y float64
	strip
}

// pager puts strips on pages.
type pager struct {
	room  float64 // height of a page
	pages [][]placed
	used  float64
	last  *repeated
}

// paginate breaks strips into pages of the given height. Every strip is placed
// once and in order; repeated heads are added.
func paginate(list []strip, room float64) [][]placed {
	p := pager{room: room, pages: [][]placed{nil}}
	for len(list) > 0 {
		n := together(list, weak)
		if list[0].apart && p.used > 0 {
			p.turn()
		}
		if !p.put(list[:n]) {
			p.parts(list[:n])
		}
		list = list[n:]
	}
	return p.pages
}

// together returns how many strips at the beginning are held together.
func together(list []strip, at hold) int {
	n := 1
	for n < len(list) && list[n-1].hold >= at {
		n++
	}
	return n
}

// put places strips on this page, or else on the next; it reports false when
// they are larger than a page.
func (p *pager) put(list []strip) bool {
	need := height(list)
	if p.used > 0 {
		need += list[0].before
	} else {
		need += p.lead(list[0])
	}
	if p.used+need > p.room {
		if height(list)+p.lead(list[0]) > p.room {
			return false
		}
		p.turn()
	}
	p.place(list)
	return true
}

// lead returns the room that is taken at the top of a page that begins with the
// strip, by what has to be said again there.
func (p *pager) lead(s strip) float64 {
	again := p.head(s)
	if again == nil || again.high() >= p.room/2 {
		return 0
	}
	return again.high() + s.before
}

// head returns what has to be said again when the page begins with the strip.
func (p *pager) head(s strip) *repeated {
	if s.again != nil && s.again == p.last {
		return s.again
	}
	return nil
}

// parts places strips that are larger than a page: by what is firmly held, and
// where that is too large, strip by strip.
func (p *pager) parts(list []strip) {
	for len(list) > 0 {
		n := together(list, firm)
		if !p.put(list[:n]) {
			for i := range n {
				if p.used > 0 && p.used+list[i].before+list[i].high > p.room {
					p.turn()
				}
				p.place(list[i : i+1])
			}
		}
		list = list[n:]
	}
}

func (p *pager) turn() {
	p.pages = append(p.pages, nil)
	p.used = 0
}

// place puts strips at the end of the page, after what has to be said again.
func (p *pager) place(list []strip) {
	if lead := p.lead(list[0]); p.used == 0 && lead > 0 && lead+height(list) <= p.room {
		p.set(p.head(list[0]).strips)
	}
	p.set(list)
	p.last = list[len(list)-1].again
}

func (p *pager) set(list []strip) {
	page := &p.pages[len(p.pages)-1]
	for _, s := range list {
		if p.used > 0 {
			p.used += s.before
		}
		*page = append(*page, placed{p.used, s})
		p.used += s.high
	}
}
