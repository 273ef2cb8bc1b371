package desk

import (
	"context"
	"errors"
	"fmt"
	"regexp"
	"strings"
	"time"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/guide/file"
	"elbowroom/store"
	"elbowroom/workshop"
)

// NewMachine is what is said of a machine that was never here.
type NewMachine struct {
	ID      string // what it is called here, such as "V5"; made from the plate when empty
	Name    string
	Plate   string
	Serial  string
	Guide   string // empty: nothing is written down yet
	Variant string // "LHD A"
}

// lookTime is how long the register may take to find a machine.
const lookTime = 3 * time.Second

// registered finds a machine in the register of a place; nil when it is not
// there.
func (d *Desk) registered(place store.PlaceID, id guide.ID) (*workshop.Machine, error) {
	ctx, cancel := context.WithTimeout(context.Background(), lookTime)
	defer cancel()
	m, err := d.keep.Machine(ctx, place, id)
	if code := store.CodeOf(err); code == store.NotFound || code == store.Refused {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	return readMachine(id, m.Data)
}

// machineText writes a machine as the only one of a workshop's description,
// the form in which people read and write machines too.
func machineText(m workshop.Machine) []byte {
	return file.Encode(workshop.Workshop{Format: 1, ID: "register", Name: "register", Currency: "XXX", Machines: []workshop.Machine{m}})
}

func readMachine(id guide.ID, text []byte) (*workshop.Machine, error) {
	var w workshop.Workshop
	if _, list := file.Decode("machine.yaml", text, &w); len(list) > 0 {
		return nil, fmt.Errorf("%w: machine %s:\n%w", store.Damaged, id, list)
	}
	if len(w.Machines) != 1 {
		return nil, fmt.Errorf("%w: machine %s: %d machines are written under it", store.Damaged, id, len(w.Machines))
	}
	return &w.Machines[0], nil
}

var isMachineID = regexp.MustCompile(`^[A-Za-z][A-Za-z0-9_.-]{0,30}$`)

// AddMachine enters a machine into the register and returns its id.
func (d *Desk) AddMachine(ctx context.Context, who Who, n NewMachine) (guide.ID, error) {
	if !who.MayWrite() {
		return "", fmt.Errorf("%w: %s may look at machines and not enter them", ErrNotAllowed, who.Name)
	}
	w := workshop.Machine{ID: guide.ID(strings.TrimSpace(n.ID)), Name: strings.TrimSpace(n.Name), Plate: strings.TrimSpace(n.Plate), Guide: guide.ID(n.Guide)}
	if w.ID == "" {
		w.ID = guide.ID("M-" + strings.Trim(notInName.ReplaceAllString(plain.Replace(strings.ToLower(w.Plate)), "-"), "-"))
	}
	if w.Name == "" {
		return "", fmt.Errorf("%w: name: say what machine it is, such as Van, white, long", app.ErrInput)
	}
	if n.ID == "" && w.ID == "M-" {
		return "", fmt.Errorf("%w: plate or serial number: write one, so that the machine is found again", app.ErrInput)
	}
	if !isMachineID.MatchString(string(w.ID)) || w.ID == "M-" {
		return "", fmt.Errorf("%w: id: %q: give a plate, or a short name of letters and digits", app.ErrInput, n.ID)
	}
	var err error
	if n.Variant != "" {
		if w.Variant, err = guide.Parse[guide.Selector](n.Variant); err != nil {
			return "", fmt.Errorf("%w: variant: %w", app.ErrInput, err)
		}
	}
	if err := d.known(ctx, who, n.Guide, w.Variant); err != nil {
		return "", err
	}
	_, err = d.keep.PutMachine(ctx, who.Place, store.Machine{
		ID: w.ID, Name: w.Name, Plate: w.Plate, Serial: strings.TrimSpace(n.Serial), Guide: n.Guide, Variant: w.Variant.String(), Data: machineText(w),
	})
	if errors.Is(err, store.Exists) {
		return "", fmt.Errorf("%w: there is a machine %s already; open a job for it, or give this one another short name", app.ErrInput, w.ID)
	}
	return w.ID, err
}

// known refuses a guide that is not here and a variant that it does not have.
func (d *Desk) known(ctx context.Context, who Who, name string, variant guide.Selector) error {
	if name == "" {
		return nil
	}
	a, err := d.App(ctx, who.Place)
	if err != nil {
		return err
	}
	l, err := a.Guide(name)
	if err != nil {
		return err
	}
	if _, err := guide.Resolve(l.Guide, variant); err != nil {
		return fmt.Errorf("%w: variant: %w", app.ErrInput, err)
	}
	return nil
}

// MachineLine is a machine of the register.
type MachineLine struct {
	ID                          guide.ID
	Name, Plate, Guide, Variant string
}

// Machines lists the machines of a place whose id comes after one.
func (d *Desk) Machines(ctx context.Context, who Who, after guide.ID) ([]MachineLine, error) {
	list, err := d.keep.Machines(ctx, who.Place, after, PageOfJobs)
	if err != nil {
		return nil, err
	}
	lines := make([]MachineLine, len(list))
	for i, m := range list {
		lines[i] = machineLine(m)
	}
	return lines, nil
}

// Machine returns one machine of the register; the error is store.NotFound
// when it is not there.
func (d *Desk) Machine(ctx context.Context, who Who, id guide.ID) (MachineLine, error) {
	m, err := d.keep.Machine(ctx, who.Place, id)
	return machineLine(m), err
}

func machineLine(m store.Machine) MachineLine {
	return MachineLine{m.ID, m.Name, m.Plate, m.Guide, m.Variant}
}

// People lists who works at a place.
func (d *Desk) People(ctx context.Context, place store.PlaceID) ([]SheetPerson, error) {
	people, err := d.keep.People(ctx, place)
	if err != nil {
		return nil, err
	}
	return (&opened{people: people}).sheetPeople(), nil
}
