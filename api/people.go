package api

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"soloright/scoring/clearance"
	"soloright/scoring/ledger"
)

// AddAccount is the command to add a person. An empty password makes an account
// that nobody can sign in to.
type AddAccount struct {
	SignIn   string `json:"sign_in" validate:"required,min=2,max=64"`
	Name     string `json:"name" validate:"required,max=120"`
	Role     Role   `json:"role" validate:"required,oneof=technician trainer 'safety officer' administrator"`
	Crew     string `json:"crew,omitempty" validate:"max=64"`
	Password string `json:"password,omitempty" validate:"max=256"`
}

// MinPassword is the least length of a password, in characters, after NIST SP
// 800-63B's advice to ask for length and nothing else.
const MinPassword = 10

// AddAccount adds a person and returns the new account.
func (a *App) AddAccount(ctx context.Context, c Caller, cmd AddAccount) (Person, error) {
	cmd.SignIn = strings.ToLower(strings.TrimSpace(cmd.SignIn))
	if err := check(cmd); err != nil {
		return Person{}, err
	}
	if strings.ContainsAny(cmd.SignIn, " \t/") {
		return Person{}, invalid("sign_in", "The sign-in name may have no spaces and no slash.")
	}
	if err := a.allowed(ctx, c, ManagePeople); err != nil {
		return Person{}, err
	}
	p := Person{SignIn: cmd.SignIn, Name: cmd.Name, Role: cmd.Role, Crew: cmd.Crew, Added: a.now()}
	var err error
	if p.ID, err = a.newID(); err != nil {
		return Person{}, err
	}
	if cmd.Password != "" {
		if p.Password, err = a.newPassword(ctx, cmd.Password); err != nil {
			return Person{}, err
		}
	}
	err = a.inTx(ctx, c, ManagePeople, func(tx Tx, w Actor) error {
		if err := tx.AddPerson(ctx, p); err != nil {
			return err
		}
		return a.withActs(ctx, tx, w, []ledger.Entry{accountAdded(p, w.by())}, newAct{act: clearance.AccountAdded{Person: p.ID, Role: string(p.Role)}})
	})
	if errors.Is(err, ErrExists) {
		return Person{}, &Error{Kind: Conflict, State: "taken", Message: "The sign-in name " + p.SignIn + " is taken."}
	}
	if err != nil {
		return Person{}, fmt.Errorf("add account %s: %w", p.SignIn, err)
	}
	return p, nil
}

func (a *App) newPassword(ctx context.Context, password string) (string, error) {
	if len([]rune(password)) < MinPassword {
		return "", invalid("password", fmt.Sprintf("The password must have at least %d characters.", MinPassword))
	}
	return a.passwords.Hash(ctx, password)
}

// ChangeAccount is the command to change a person's name, role, crew or
// password, or to note that the person has left. Nil fields stay as they are.
type ChangeAccount struct {
	Person   string  `json:"-" validate:"required,max=64"`
	Name     *string `json:"name,omitempty" validate:"omitempty,min=1,max=120"`
	Role     *Role   `json:"role,omitempty" validate:"omitempty,oneof=technician trainer 'safety officer' administrator"`
	Crew     *string `json:"crew,omitempty" validate:"omitempty,max=64"`
	Password *string `json:"password,omitempty" validate:"omitempty,max=256"`
	Left     *bool   `json:"left,omitempty"`
}

// ChangeAccount changes a person's account. A new password, a new role or
// leaving ends every session of that person.
func (a *App) ChangeAccount(ctx context.Context, c Caller, cmd ChangeAccount) (Person, error) {
	if err := check(cmd); err != nil {
		return Person{}, err
	}
	if err := a.allowed(ctx, c, ManagePeople); err != nil {
		return Person{}, err
	}
	hash := ""
	if cmd.Password != nil {
		var err error
		if hash, err = a.newPassword(ctx, *cmd.Password); err != nil {
			return Person{}, err
		}
	}
	var p Person
	err := a.inTx(ctx, c, ManagePeople, func(tx Tx, w Actor) error {
		// Two changes of one account come one after the other, as their entries do:
		// the second must not write back what the first has just changed.
		if _, err := tx.LockLedger(ctx); err != nil {
			return err
		}
		old, err := tx.Person(ctx, cmd.Person)
		if errors.Is(err, ErrNone) {
			return notFound("person")
		} else if err != nil {
			return fmt.Errorf("read person: %w", err)
		}
		now := a.now()
		p = cmd.apply(old, hash, now)
		if err := tx.SetPerson(ctx, p); err != nil {
			return fmt.Errorf("change account %s: %w", p.SignIn, err)
		}
		if cmd.Password != nil || cmd.Role != nil || cmd.Left != nil {
			if err := tx.EndSessions(ctx, p.ID); err != nil {
				return err
			}
		}
		return a.withActs(ctx, tx, w, accountChanges(old, p, now, w.by()), accountActs(old, p)...)
	})
	return p, err
}

func (cmd ChangeAccount) apply(p Person, hash string, now time.Time) Person {
	if cmd.Name != nil {
		p.Name = *cmd.Name
	}
	if cmd.Role != nil {
		p.Role = *cmd.Role
	}
	if cmd.Crew != nil {
		p.Crew = *cmd.Crew
	}
	if hash != "" {
		p.Password = hash
	}
	if cmd.Left != nil {
		p.Left = time.Time{}
		if *cmd.Left {
			p.Left = now
		}
	}
	return p
}

// People lists everybody, by name.
func (a *App) People(ctx context.Context, c Caller) ([]Person, error) {
	var out []Person
	err := a.read(ctx, c, ReadPeople, func(r Reader, _ Actor) (err error) {
		out, err = r.People(ctx)
		return err
	})
	return out, err
}
