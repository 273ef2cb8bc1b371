package web

import (
	"errors"
	"net/http"
	"slices"

	"elbowroom/app"
	"elbowroom/guide"
)

// searchBox is the field in which tasks are found, with what was found.
type searchBox struct {
	Words  string
	Offers []offer // machines and guides to choose from; empty keeps the present one
	Hidden []field
	Action string
	Find   string // address of the part with the hits, for suggestions
	Hits   hits
	Open   bool // show the hits
}

// hits is what was found for the words.
type hits struct {
	Words string
	List  []hit
	More  int // found but not listed
	Error string
	Clear string // address without the words
}

// hit is one item with what can be done to it.
type hit struct {
	ID, Name, By string
	Sheet        string // address of its sheet
	Doings       []doing
}

// doing is one task on an item as a button.
type doing struct {
	Text  string
	Label string // with the name of the item, for those who hear the page
	Href  string
	In    bool // part of the plan; the address takes it out
	Task  string
}

// maxHits is how many found items a page lists.
const maxHits = 12

// searchBox returns the box for a page about a machine or guide; with offers
// the reader can choose another one in the same form.
func (s *site) searchBox(st state) searchBox {
	b := searchBox{Words: st.words, Action: "/go", Offers: s.subject(st.ask).Offers}
	b.Find = st.bare().to("/find")
	return b
}

// planSearch returns the box of the Plan page: it stays with the question.
func (s *site) planSearch(st state) searchBox {
	here := st
	here.words, here.item, here.view, here.reach = "", "", "", false
	b := searchBox{Words: st.words, Action: "/plan", Hidden: here.fields("q"), Find: here.to("/find")}
	if st.words != "" {
		b.Open, b.Hits = true, s.hits(st)
	}
	return b
}

// hits looks for the words of the state.
func (s *site) hits(st state) hits {
	clear := st
	clear.words = ""
	h := hits{Words: st.words, Clear: clear.to("/plan")}
	if st.words == "" {
		return h
	}
	found, err := s.use.Where(onlySubject(st.ask), st.words)
	if err != nil {
		if !errors.Is(err, app.ErrUnknown) {
			h.Error = plain(err)
		}
		return h
	}
	for i, f := range found.Hits {
		if i == maxHits {
			h.More = len(found.Hits) - maxHits
			break
		}
		h.List = append(h.List, oneHit(st, found.Resolved, f))
	}
	return h
}

// onlySubject drops everything that could be wrong with a question but its
// machine, guide and variant.
func onlySubject(q app.Ask) app.Ask {
	return app.Ask{Machine: q.Machine, Guide: q.Guide, Variant: q.Variant, Budget: q.Budget}
}

func oneHit(st state, r *guide.Resolved, f guide.Hit) hit {
	sheet := st.bare()
	sheet.item = f.Item.ID
	h := hit{ID: string(f.Item.ID), Name: f.Item.Name, Sheet: sheet.to("/bay")}
	if f.By != f.Item.Name && f.By != h.ID {
		h.By = f.By
	}
	for _, v := range taskVerbs(r, f.Item) {
		h.Doings = append(h.Doings, doingOf(st, string(v)+":"+h.ID, verbText(v), f.Item.Name))
	}
	return h
}

// doingOf returns the button that puts a task into the plan or takes it out.
func doingOf(st state, task, text, on string) doing {
	d := doing{Text: text, Task: task, In: slices.Contains(st.tasks(), task)}
	if d.In {
		d.Href, d.Label = st.without(task).to("/plan"), say("doing.out", text, on)
		return d
	}
	d.Href, d.Label = st.with(task).to("/plan"), say("doing.in", text, on)
	return d
}

// taskVerbs returns the task verbs for which the item has a way on the
// variant, in the order of the guide.
func taskVerbs(r *guide.Resolved, it *guide.Item) []guide.Verb {
	var out []guide.Verb
	for _, w := range it.Ways {
		if !w.Do.Clears() && r.Fits(w.For) && !slices.Contains(out, w.Do) {
			out = append(out, w.Do)
		}
	}
	return out
}

// findPart serves the hits alone, for suggestions while typing.
func (s *site) findPart(w http.ResponseWriter, r *http.Request) {
	v := r.URL.Query()
	st, err := readState(v)
	if err != nil {
		s.render(w, r, http.StatusBadRequest, "plan", "hits", hits{Words: st.words, Error: plain(err)})
		return
	}
	if choice := v.Get("for"); choice != "" {
		st.ask = chosen(choice, st.ask)
	}
	if v.Get("page") == "bay" {
		s.render(w, r, http.StatusOK, "bay", "places", s.places(st))
		return
	}
	s.render(w, r, http.StatusOK, "plan", "hits", s.hits(st))
}
