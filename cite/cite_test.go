package cite

import "testing"

func TestGradesAreRankedBestFirst(t *testing.T) {
	for i, g := range Grades {
		if g.Rank() != i {
			t.Errorf("%s has rank %d, want %d", g, g.Rank(), i)
		}
	}
	if Grade("rumour").Rank() != len(Grades) {
		t.Error("an unknown grade comes last")
	}
	if Standard.Rank() >= Hearsay.Rank() || FirstHand.Rank() >= Guess.Rank() {
		t.Error("a standard is better than hearsay, hands better than a guess")
	}
	if words := Grade("").Allowed(); len(words) != len(Grades) || words[0] != string(Standard) {
		t.Errorf("Allowed gives %v", words)
	}
}

func TestString(t *testing.T) {
	for _, c := range []struct {
		source Source
		want   string
	}{
		{Source{Grade: FirstHand, Who: "Ines Pellow", Date: "2024-05-02"}, "first-hand, Ines Pellow, 2024-05-02"},
		{Source{Grade: Maker, Document: "Torque list", Page: "12", Machine: "V1", Confirmed: "Tomasz Veld"}, "maker, Torque list, 12, V1, confirmed by Tomasz Veld"},
		{Source{Grade: Guess}, "guess"},
	} {
		if got := c.source.String(); got != c.want {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
}
