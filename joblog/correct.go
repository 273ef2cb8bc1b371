package joblog

// correct works out which events were struck or replaced. A correction holds
// unless a later one strikes it; it reaches only events that stand before it.
func (f *folding) correct() {
	struck := map[*placed]bool{}
	var live []*placed // corrections, last first
	for i := len(f.order) - 1; i >= 0; i-- {
		p := f.order[i]
		c, ok := p.body.(*Correction)
		if !ok || struck[p] {
			continue
		}
		target := f.byID[c.Of]
		switch {
		case target == nil:
			f.refuse(p, UnknownEvent, "there is no event %s to correct", c.Of)
		case target.pos >= i:
			f.refuse(p, ImpossibleOrder, "it corrects an event that comes after it")
		case c.With != nil && c.With.Kind != target.Kind:
			f.refuse(p, UnknownEvent, "it puts %s in the place of %s", c.With.Kind, target.Kind)
		case c.With != nil && !signs(p, c, target):
			f.refuse(p, WrongAuthor, "a deviation is put right by the one who signed it")
		default:
			live = append(live, p)
			if target.Kind == KindCorrect && c.Strike {
				struck[target] = true
			}
		}
	}
	f.apply(live)
}

// apply lets the last live correction of each event hold. Corrections of the
// same event that did not know of each other and differ are a conflict.
func (f *folding) apply(live []*placed) {
	opinions := map[*placed]heads[string]{}
	var targets []*placed
	for i := len(live) - 1; i >= 0; i-- {
		p := live[i]
		c := p.body.(*Correction)
		target := f.byID[c.Of]
		if opinions[target] == nil {
			targets = append(targets, target)
		}
		text := "struck"
		if c.With != nil {
			b, _ := marshal(c.With) // encoded once already when it came into the log
			text = string(b)
		}
		opinions[target] = opinions[target].put(p, text)
	}
	for _, target := range targets {
		h := opinions[target]
		last, _ := h.last()
		c := last.at.body.(*Correction)
		f.s.Corrected = append(f.s.Corrected, Corrected{
			Stamp: last.at.stamp(), Of: target.ID, Kind: target.Kind, Struck: c.Strike, Reason: c.Reason,
		})
		if h.disputed() {
			f.s.Conflicts = append(f.s.Conflicts, Conflict{
				Sort: Disputed, Key: "correction " + target.ID.String(), Events: h.events(), Blocking: true,
				Says: "an event of the kind " + string(target.Kind) + " was put right differently by " + people(h) + "; the last one holds for now",
			})
		}
		if c.Strike {
			f.struck[target.ID] = true
		}
		if target.body != nil && target.Kind != KindCorrect {
			if c.Strike {
				target.body = nil
			} else {
				target.body = c.With.Body
			}
		}
	}
}

// signs reports whether a correction leaves everybody signing for themselves.
func signs(p *placed, c *Correction, target *placed) bool {
	d, ok := c.With.Body.(*Deviation)
	return !ok || d.Signed == p.Author && d.Signed == target.Author
}
