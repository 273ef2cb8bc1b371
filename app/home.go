package app

import (
	"strings"

	"elbowroom/guide"
	"elbowroom/plan"
	"elbowroom/workshop"
)

// Home lists the machines that are in, in the workshop's order.
func (a *App) Home() []MachineLine {
	if a.workshop == nil {
		return nil
	}
	var out []MachineLine
	for _, m := range a.workshop.Machines {
		out = append(out, a.machineLine(m))
	}
	return out
}

func (a *App) machineLine(m workshop.Machine) MachineLine {
	line := MachineLine{Machine: m, Variant: m.Variant.String(), Ask: Ask{Machine: string(m.ID)}}
	l, err := a.Guide(string(m.Guide))
	if m.Guide == "" || err != nil {
		return line
	}
	line.GuideTitle, line.GuideName = l.Guide.Title, l.Name
	b, err := a.bench(l, m.Variant)
	if err != nil {
		return line
	}
	var req plan.Request
	for _, text := range m.Found {
		if parseStart(b.r, text, &req) == nil {
			line.Off = append(line.Off, standsText(b.r, text))
		}
	}
	line.Forbidden = forbiddenNow(b.r, req)
	for _, id := range m.Next {
		line.Ask.Tasks = append(line.Ask.Tasks, string(id.Verb)+":"+string(id.On))
		line.Next = append(line.Next, taskText(b.r, plan.Task{Verb: id.Verb, On: id.On}))
	}
	return line
}

// standsText says "cab hatch (PN03) off" or "position: raised".
func standsText(r *guide.Resolved, text string) string {
	if cond, value, ok := strings.Cut(text, "="); ok {
		return stateText(r, guide.ID(cond), guide.ID(value))
	}
	id, how, _ := strings.Cut(text, " ")
	if how == "" {
		how = "off"
	}
	return itemName(r, guide.ID(id)) + " " + how
}

// forbiddenNow lists the prohibitions of the state that a request starts in:
// those of its condition values, and every value that demands an item which is
// off now.
func forbiddenNow(r *guide.Resolved, req plan.Request) []string {
	now := (&builder{r: r, req: req}).startValues()
	off := map[guide.ID]bool{}
	for _, s := range req.Found {
		off[s.Item] = true
	}
	var out []string
	for _, c := range r.Guide.Conditions {
		out = appendText(out, forbids(r, c.ID, now[c.ID]))
		for _, v := range c.Values {
			if v.ID == now[c.ID] {
				continue
			}
			for _, id := range v.Fitted {
				if off[id] {
					out = append(out, "not "+stateText(r, c.ID, v.ID)+" while the "+itemName(r, id)+" is off")
					break
				}
			}
		}
	}
	return out
}
