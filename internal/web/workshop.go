package web

import (
	"context"
	"errors"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"elbowroom/app"
	"elbowroom/app/desk"
	"elbowroom/guide"
	"elbowroom/joblog"
	"elbowroom/money"
	"elbowroom/store"
	"elbowroom/workshop"
)

// Staff is what the page about the workshop asks of the desk.
type Staff interface {
	Staff(ctx context.Context, who desk.Who) ([]desk.PersonLine, error)
	Hire(ctx context.Context, who desk.Who, name string, role store.Role, password string) (joblog.Person, error)
	Appoint(ctx context.Context, who desk.Who, id joblog.Person, role store.Role, disabled bool) error
	ChangePassword(ctx context.Context, who desk.Who, id joblog.Person, present, next string) error
	Sessions(ctx context.Context, who desk.Who, id joblog.Person) ([]store.Session, error)
	EndSessions(ctx context.Context, who desk.Who, id joblog.Person) (int, error)
	Trail(ctx context.Context, who desk.Who, before int64) ([]store.Entry, error)
	Superseded(ctx context.Context, who desk.Who, after joblog.Job) (*desk.OldValues, error)
	Customers(ctx context.Context, who desk.Who, after string) ([]store.Customer, error)
	PutCustomer(ctx context.Context, who desk.Who, c store.Customer) (string, error)
	Belongs(ctx context.Context, who desk.Who, machine guide.ID, customer string) error
	Erase(ctx context.Context, who desk.Who, customer string) error
}

const workshopPath = "/workshop/"

// workshopPage is what a workshop knows of itself.
type workshopPage struct {
	page
	Name        string
	Me          string
	Role        string
	Manage      bool
	Write       bool
	Demo        bool
	Rates       []string
	Tools       []toolRow
	People      []personRow
	Sessions    []sessionRow
	Passkey     passkeyHere
	Passkeys    []passkeyRow
	HasPassword bool
	Customers   []customerRow
	More        string // address of the next customers
	Machines    []offer
	Old         oldView
	Trail       []trailRow
	Earlier     string // address of older entries
	Roles       []offer
	Least       int
	Guides      []guideRow
	Wrong       string
	Details     []string
	Values      url.Values
}

// Get returns what was typed into a field that was sent and not taken.
func (p workshopPage) Get(field string) string { return p.Values.Get(field) }

type toolRow struct {
	Name, Range, Due string
	Overdue          bool
}

type personRow struct {
	ID, Name, Role string
	Roles          []offer
	Left, Me       bool
	SignsIn        string
	Passkeys       []passkeyRow
}

type sessionRow struct{ Device, Since string }

type customerRow struct{ ID, Name, Says, Erased string }

type trailRow struct{ At, Who, Did, On string }

func (s *site) staffRoutes(mux *http.ServeMux) {
	mux.HandleFunc("GET /workshop/{$}", func(w http.ResponseWriter, r *http.Request) { s.showWorkshop(w, r, http.StatusOK, nil) })
	mux.HandleFunc("POST /workshop/{$}", s.tellWorkshop)
	mux.HandleFunc("POST "+bringPath, s.bring)
	mux.HandleFunc("GET "+textPath+"{name}", s.textOut)
}

func (s *site) showWorkshop(w http.ResponseWriter, r *http.Request, status int, wrong error) {
	who, ok := s.whoAsks(w, r)
	if !ok {
		return
	}
	p := workshopPage{
		page: s.page("workshop", "workshop.title"), Me: who.Name, Role: say("role." + string(who.Role)), Manage: who.MayManage(),
		Write: who.MayWrite(), Least: desk.LeastPassword, Demo: s.opts.Demo != nil,
	}
	p.Guides = s.guides()
	if wrong != nil {
		p.Wrong, p.Details = sentences(plain(wrong))
		p.Values = r.PostForm
	}
	if a, ok := s.use.(*app.App); ok {
		p.equipment(a)
	}
	for _, role := range desk.Roles {
		p.Roles = append(p.Roles, offer{Value: string(role), Text: say("role." + string(role)), Here: role == store.Technician})
	}
	if err := s.staff(r, who, &p); err != nil {
		s.keptFailed(w, r, err)
		return
	}
	w.Header().Set("Cache-Control", "no-store")
	s.render(w, r, status, "workshop", "layout", p)
}

// equipment lists rates and tools.
func (p *workshopPage) equipment(a *app.App) {
	shop := a.Workshop()
	if shop == nil {
		return
	}
	p.Name = shop.Name
	if shop.Rate > 0 {
		p.Rates = append(p.Rates, say("workshop.rate", price(money.Amount(shop.Rate), shop.Currency)))
	}
	if shop.WaitRate > 0 {
		p.Rates = append(p.Rates, say("workshop.wait", price(money.Amount(shop.WaitRate), shop.Currency)))
	}
	today := a.Clock().Format("2006-01-02")
	for _, t := range shop.Tools {
		p.Tools = append(p.Tools, toolRowOf(t, today))
	}
}

func toolRowOf(t workshop.Tool, today string) toolRow {
	row := toolRow{Name: t.Name, Due: t.Due, Overdue: t.Due != "" && t.Due < today}
	if !t.Highest.Zero() {
		row.Range = say("workshop.range", t.Lowest.String(), t.Highest.String())
	}
	return row
}

// staff adds people, sessions, customers and the trail, as far as who asks may
// see them.
func (s *site) staff(r *http.Request, who desk.Who, p *workshopPage) error {
	ctx, d := r.Context(), s.opts.Desk
	people, err := d.Staff(ctx, who)
	if err != nil {
		return err
	}
	for _, x := range people {
		p.People = append(p.People, personRowOf(x, who))
		p.HasPassword = p.HasPassword || x.ID == who.ID && x.Password
	}
	sessions, err := d.Sessions(ctx, who, who.ID)
	if err != nil {
		return err
	}
	for _, x := range sessions {
		p.Sessions = append(p.Sessions, sessionRow{shorten(x.Device, maxCheckName), x.Since.Time().Format("2006-01-02 15:04")})
	}
	if err := s.passkeys(r, who, p); err != nil {
		return err
	}
	if err := s.customers(ctx, who, p, r.URL.Query().Get("customers")); err != nil {
		return err
	}
	if err := s.old(ctx, who, r.URL.Query().Get("old"), p); err != nil {
		return err
	}
	if !p.Manage {
		return nil
	}
	before, _ := strconv.ParseInt(r.URL.Query().Get("before"), 10, 64) // anything else is the newest
	trail, err := d.Trail(ctx, who, before)
	for _, e := range trail {
		p.Trail = append(p.Trail, trailRow{e.At.Time().Format("2006-01-02 15:04"), string(e.Person), sayIf("did.", e.Did), listed(e.On, e.Says)})
	}
	if n := len(trail); n == desk.PageOfJobs {
		p.Earlier = workshopPath + "?before=" + strconv.FormatInt(trail[n-1].Number, 10) + "#trail"
	}
	return err
}

func personRowOf(x desk.PersonLine, who desk.Who) personRow {
	row := personRow{ID: string(x.ID), Name: x.Name, Role: say("role." + string(x.Role)), Left: x.Disabled, Me: x.ID == who.ID, Passkeys: passkeyRows(x.Passkeys)}
	for _, role := range desk.Roles {
		row.Roles = append(row.Roles, offer{Value: string(role), Text: say("role." + string(role)), Here: role == x.Role})
	}
	switch {
	case len(x.Passkeys) > 0:
		row.SignsIn = say("person.passkey")
	case x.Password:
		row.SignsIn = say("person.password")
	default:
		row.SignsIn = say("person.no-way")
	}
	return row
}

func (s *site) customers(ctx context.Context, who desk.Who, p *workshopPage, after string) error {
	if !p.Write {
		return nil
	}
	list, err := s.opts.Desk.Customers(ctx, who, after)
	if err != nil {
		return err
	}
	for _, c := range list {
		row := customerRow{ID: c.ID, Name: c.Name, Says: listed(c.Phone, c.Mail, c.Address)}
		if !c.Erased.IsZero() {
			row.Erased = c.Erased.Time().Format("2006-01-02")
		}
		p.Customers = append(p.Customers, row)
	}
	if n := len(list); n == desk.PageOfJobs {
		p.More = workshopPath + "?" + url.Values{"customers": {list[n-1].ID}}.Encode() + "#customers"
	}
	machines, err := s.opts.Desk.Machines(ctx, who, "")
	for _, m := range machines {
		p.Machines = append(p.Machines, offer{Value: string(m.ID), Text: listed(string(m.ID), m.Name)})
	}
	return err
}

func (s *site) tellWorkshop(w http.ResponseWriter, r *http.Request) {
	who, ok := s.whoAsks(w, r)
	if !ok {
		return
	}
	err := s.change(r.Context(), who, r.PostForm)
	switch {
	case s.wrong(err), errors.Is(err, store.Refused):
		s.showWorkshop(w, r, http.StatusBadRequest, err)
	case err != nil:
		s.keptFailed(w, r, err)
	default:
		http.Redirect(w, r, workshopPath, http.StatusSeeOther)
	}
}

// change carries out one of the forms of the page.
func (s *site) change(ctx context.Context, who desk.Who, f url.Values) error {
	d, person := s.opts.Desk, joblog.Person(f.Get("person"))
	switch f.Get("does") {
	case "hire":
		_, err := d.Hire(ctx, who, f.Get("name"), store.Role(f.Get("role")), f.Get("password"))
		return err
	case "appoint":
		return d.Appoint(ctx, who, person, store.Role(f.Get("role")), f.Get("left") == "yes")
	case "password":
		if person == "" {
			person = who.ID
		}
		return d.ChangePassword(ctx, who, person, f.Get("present"), f.Get("password"))
	case "drop-passkey":
		if person == "" {
			person = who.ID
		}
		return d.DropPasskey(ctx, who, person, desk.PasskeyID(f.Get("passkey")))
	case "end-sessions":
		if person == "" {
			person = who.ID
		}
		_, err := d.EndSessions(ctx, who, person)
		return err
	case "customer":
		return s.newCustomer(ctx, who, f)
	case "erase":
		if f.Get("sure") != "yes" {
			return inputError(errors.New("erasing cannot be undone: tick that you are sure"))
		}
		return d.Erase(ctx, who, f.Get("customer"))
	}
	return inputError(errors.New("this page does not know that form; load it again"))
}

func (s *site) newCustomer(ctx context.Context, who desk.Who, f url.Values) error {
	if m := f.Get("machine"); m != "" { // before there is a customer: the form is sent again
		switch _, err := s.opts.Desk.Machine(ctx, who, guide.ID(m)); store.CodeOf(err) {
		case store.NotFound, store.Refused:
			return inputError(errors.New("machine: " + shorten(m, maxCheckName) + " is not in the register; enter it with a job first"))
		}
	}
	id, err := s.opts.Desk.PutCustomer(ctx, who, store.Customer{
		Name: strings.TrimSpace(f.Get("name")), Phone: strings.TrimSpace(f.Get("phone")), Mail: strings.TrimSpace(f.Get("mail")), Address: strings.TrimSpace(f.Get("address")),
	})
	if m := f.Get("machine"); err == nil && m != "" {
		err = s.opts.Desk.Belongs(ctx, who, guide.ID(m), id)
	}
	return err
}
