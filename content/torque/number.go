package torque

import (
	"errors"
	"fmt"
	"math/big"
	"strings"
	"unicode"
	"unicode/utf8"
)

// maxDigits bounds a number, so that nobody can make the program work with
// numbers of a million digits. maxText bounds a number with its unit, in bytes.
const (
	maxDigits = 40
	maxText   = 120
)

// ParseNumber reads a number as a technician types it, and returns what follows
// it as unitText, without surrounding blanks ("" if nothing does): "13.6 lbf·in"
// gives 68/5 and "lbf·in". The unit is not looked up.
//
// Point and comma are both decimal marks: "13,6" is 13.6, ".5" is 0.5. "3/8" is a
// fraction. The sign may be + - or − (U+2212). Thousands separators are refused:
// "1 200", "1'200", "1.200,5", "1,200.5", and also "1,200", since one to three
// digits that do not begin with 0, a comma and just three digits may be either 1200
// or 1.2; "0,125" and "1.200" have one reading and are read. Exponents, NaN and
// infinity are refused. The error says what to write.
func ParseNumber(s string) (v *big.Rat, unitText string, err error) {
	if len(s) > maxText || !utf8.ValidString(s) {
		return nil, "", errors.New("too long for a number, or not text: write a number such as 13.6")
	}
	t := strings.TrimSpace(s)
	sign, t := takeSign(t)
	num, rest := takeNumber(t)
	if num == "" {
		return nil, "", fmt.Errorf("%s does not begin with a number: write one such as 13.6", quote(s))
	}
	if err := checkRest(num, rest, s); err != nil {
		return nil, "", err
	}
	if v, err = value(num, s); err != nil {
		return nil, "", err
	}
	if sign < 0 {
		v.Neg(v)
	}
	return v, strings.TrimSpace(rest), nil
}

func takeSign(s string) (int, string) {
	for _, minus := range []string{"-", "−"} {
		if t, ok := strings.CutPrefix(s, minus); ok {
			return -1, strings.TrimLeftFunc(t, unicode.IsSpace)
		}
	}
	return 1, strings.TrimPrefix(s, "+")
}

// takeNumber cuts s after its leading digits and decimal marks; a slash belongs
// to them where digits stand on both sides.
func takeNumber(s string) (num, rest string) {
	digits := 0
	for i := range len(s) {
		switch {
		case isDigit(s[i]):
			digits++
		case s[i] == '.' || s[i] == ',':
		case s[i] == '/' && i > 0 && isDigit(s[i-1]) && i+1 < len(s) && isDigit(s[i+1]):
		default:
			return cut(s, i, digits)
		}
	}
	return cut(s, len(s), digits)
}

func cut(s string, i, digits int) (num, rest string) {
	if digits == 0 {
		return "", s
	}
	return s[:i], s[i:]
}

func isDigit(c byte) bool { return '0' <= c && c <= '9' }

// checkRest refuses a rest that is no unit but the rest of a number.
func checkRest(num, rest, s string) error {
	if strings.ContainsFunc(rest, unicode.IsControl) {
		return fmt.Errorf("%s has control characters in it: write a number such as 13.6", quote(s))
	}
	t := strings.TrimSpace(rest)
	if t == "" {
		return nil
	}
	r, _ := utf8.DecodeRuneInString(t)
	switch {
	case (r == 'e' || r == 'E') && isExponent(t[1:]):
		return fmt.Errorf("%s has an exponent: write the number out, such as 1200 or 0.0012", quote(s))
	case unicode.IsNumber(r) && t == rest:
		return fmt.Errorf("%s is not written in plain digits: write a number such as 13.6", quote(s))
	case strings.ContainsRune("'’`_", r) && len(t) > 1 && isDigit(t[len(string(r))]), unicode.IsNumber(r):
		return fmt.Errorf("%s has a gap or a mark between its digits: write the number in one piece, such as 1200", quote(s))
	case strings.ContainsRune("-−–—+±~", r):
		return fmt.Errorf("%s is more than one number: write one number, such as %s", quote(s), num)
	}
	return nil
}

func isExponent(t string) bool {
	t = strings.TrimLeft(t, "+-−")
	return t != "" && isDigit(t[0])
}

// value reads digits with at most one decimal mark, or a fraction of whole numbers.
func value(num, s string) (*big.Rat, error) {
	if len(num) > maxDigits {
		return nil, fmt.Errorf("%s has too many digits: write at most %d", quote(s), maxDigits)
	}
	if a, b, ok := strings.Cut(num, "/"); ok {
		return fraction(a, b, s)
	}
	switch strings.Count(num, ".") + strings.Count(num, ",") {
	case 0, 1:
	default:
		return nil, fmt.Errorf("%s has more than one decimal mark: leave thousands separators out, such as 1200.5", quote(s))
	}
	if whole, part, ok := strings.Cut(num, ","); ok && maybeThousands(whole, part) {
		return nil, fmt.Errorf("%s may be %s or %s.%s: write %s, or %s with a point",
			quote(s), whole+part, whole, part, whole+part, whole+"."+part)
	}
	v, ok := new(big.Rat).SetString(plain(num))
	if !ok {
		return nil, fmt.Errorf("%s is not a number: write one such as 13.6", quote(s))
	}
	return v, nil
}

func maybeThousands(whole, part string) bool {
	return len(part) == 3 && len(whole) >= 1 && len(whole) <= 3 && whole[0] != '0'
}

// plain gives a number one point with a digit on both sides, or none.
func plain(num string) string {
	num = strings.ReplaceAll(num, ",", ".")
	return strings.TrimSuffix("0"+num, ".")
}

func fraction(a, b, s string) (*big.Rat, error) {
	x, okA := new(big.Int).SetString(a, 10)
	y, okB := new(big.Int).SetString(b, 10)
	if !okA || !okB || y.Sign() == 0 {
		return nil, fmt.Errorf("%s is not a fraction: write one whole number over another, such as 3/8", quote(s))
	}
	return new(big.Rat).SetFrac(x, y), nil
}

// Decimal writes v with the given number of decimal places, rounded half away
// from zero, with a point and no sign before a zero: Decimal(−1/2, 0) is "-1".
// Fewer than 0 places count as 0, a nil v as 0.
func Decimal(v *big.Rat, places int) string {
	if v == nil {
		v = new(big.Rat)
	}
	s := v.FloatString(max(places, 0)) // rounds halves away from zero, exactly
	if strings.Trim(s, "-0.") == "" {
		return strings.TrimPrefix(s, "-")
	}
	return s
}

// exactText writes v exactly: as a decimal where it has an end, else as a fraction.
func exactText(v *big.Rat) string {
	places, ends := v.FloatPrec()
	if !ends {
		return v.RatString()
	}
	return v.FloatString(places)
}
