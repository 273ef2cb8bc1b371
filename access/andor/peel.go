package andor

import "slices"

// peeler orders the columns of a matrix for elimination with little fill:
// first the columns that come to have a single entry left, then those in
// between by number of entries, last those that come to be alone in a row.
type peeler struct {
	rest    []int32 // positions to be ordered
	open    []int32 // by position: entries in rows that are left
	count   []int32 // by row: columns left
	at      []int32 // by row: start of its columns in list
	list    []int32
	taken   []bool // by position
	rowDone []bool
	front   []int32
	back    []int32
	queue   []int32
}

func (p *peeler) order(f *factor, column func(int) []entry) []int32 {
	p.index(f, column)
	p.peelColumns(column)
	p.peelRows(f, column)
	slices.Reverse(p.back)
	between := len(p.front)
	for _, k := range p.rest {
		if !p.taken[k] {
			p.front = append(p.front, k)
		}
	}
	slices.SortStableFunc(p.front[between:], func(a, b int32) int { return int(p.open[a] - p.open[b]) })
	copy(f.rowCount[:f.size], p.count)
	p.front = append(p.front, p.back...)
	return p.front
}

// index counts the entries that are left and lists the columns of each row.
func (p *peeler) index(f *factor, column func(int) []entry) {
	n := f.size
	p.open = slices.Grow(p.open[:0], n)[:n]
	p.count = slices.Grow(p.count[:0], n)[:n]
	p.at = slices.Grow(p.at[:0], n+1)[:n+1]
	p.taken = slices.Grow(p.taken[:0], n)[:n]
	p.rowDone = slices.Grow(p.rowDone[:0], n)[:n]
	clear(p.open)
	clear(p.count)
	clear(p.taken)
	p.front, p.back = p.front[:0], p.back[:0]
	for i := range n {
		p.rowDone[i] = f.stepOf[i] >= 0
	}
	total := int32(0)
	for _, k := range p.rest {
		for _, e := range column(int(k)) {
			if !p.rowDone[e.at] {
				p.open[k]++
				p.count[e.at]++
				total++
			}
		}
	}
	at := int32(0)
	for i, c := range p.count {
		p.at[i] = at
		at += c
	}
	p.at[n] = at
	p.list = slices.Grow(p.list[:0], int(total))[:total]
	for j := len(p.rest) - 1; j >= 0; j-- {
		for _, e := range column(int(p.rest[j])) {
			if !p.rowDone[e.at] {
				p.count[e.at]--
				p.list[p.at[e.at]+p.count[e.at]] = p.rest[j]
			}
		}
	}
}

func (p *peeler) columnsOf(row int32) []int32 { return p.list[p.at[row]:p.at[row+1]] }

// peelColumns takes columns with a single entry left, again and again.
func (p *peeler) peelColumns(column func(int) []entry) {
	p.queue = p.queue[:0]
	for _, k := range p.rest {
		if p.open[k] == 1 {
			p.queue = append(p.queue, k)
		}
	}
	for head := 0; head < len(p.queue); head++ {
		k := p.queue[head]
		if p.taken[k] || p.open[k] != 1 {
			continue
		}
		p.taken[k] = true
		p.front = append(p.front, k)
		for _, e := range column(int(k)) {
			if p.rowDone[e.at] {
				continue
			}
			p.rowDone[e.at] = true
			for _, o := range p.columnsOf(e.at) {
				if p.open[o]--; p.open[o] == 1 && !p.taken[o] {
					p.queue = append(p.queue, o)
				}
			}
		}
	}
}

// peelRows puts aside columns that are alone in a row, again and again.
func (p *peeler) peelRows(f *factor, column func(int) []entry) {
	for _, k := range p.rest {
		if !p.taken[k] {
			for _, e := range column(int(k)) {
				p.count[e.at]++
			}
		}
	}
	p.queue = p.queue[:0]
	for i := range int32(f.size) {
		if !p.rowDone[i] && p.count[i] == 1 {
			p.queue = append(p.queue, i)
		}
	}
	for head := 0; head < len(p.queue); head++ {
		for _, k := range p.columnsOf(p.queue[head]) {
			if p.taken[k] {
				continue
			}
			p.taken[k] = true
			p.back = append(p.back, k)
			for _, e := range column(int(k)) {
				if p.count[e.at]--; p.count[e.at] == 1 && !p.rowDone[e.at] {
					p.queue = append(p.queue, e.at)
				}
			}
		}
	}
}
