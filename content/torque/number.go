package torque

import (
	"errors"
	"fmt"
	"math/big"
	"strings"
	"unicode"
	"unicode/utf8"
)

// What a technician types is bounded to typedBytes. What an author writes, or the
// program writes for him, may be an exact fraction with long terms; it is bounded
// to writtenBytes, so that nobody can make the program work with a million digits.
const (
	typedBytes   = 60
	writtenBytes = 1000
)

// ParseNumber reads a number as a technician types it, and returns what follows
// it as unitText, without surrounding blanks ("" if nothing does): "13.6 lbf·in"
// gives 68/5 and "lbf·in". The unit is not looked up; ParseUnitFor does that.
//
// Point and comma are both decimal marks: "13,6" is 13.6, ".5" is 0.5. "3/8" is a
// fraction. The sign may be + - or − (U+2212). Thousands separators are refused:
// "1 200", "1'200", "1.200,5", "1,200.5", and also "1,200", since one to three
// digits that do not begin with 0, a comma and just three digits may be 1200 or
// 1.2; "0,125" and "1.200" have one reading and are read. Exponents, NaN and
// infinity are refused, and so is more than 60 bytes. The error says what to write.
func ParseNumber(s string) (v *big.Rat, unitText string, err error) {
	return parseNumber(s, typedBytes)
}

func parseNumber(s string, most int) (v *big.Rat, unitText string, err error) {
	if len(s) > most || !utf8.ValidString(s) {
		return nil, "", errors.New("too long for a number, or not text: write a number such as 13.6")
	}
	minus, t := takeSign(strings.TrimSpace(s))
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
	if minus {
		v.Neg(v)
	}
	return v, strings.TrimSpace(rest), nil
}

func takeSign(s string) (minus bool, rest string) {
	sign := signOf(s)
	return sign == "-" || sign == "−", strings.TrimLeftFunc(s[len(sign):], unicode.IsSpace)
}

func signOf(s string) string {
	for _, sign := range []string{"+", "-", "−"} {
		if strings.HasPrefix(s, sign) {
			return sign
		}
	}
	return ""
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

// checkRest refuses a rest that is no unit but more of a number.
func checkRest(num, rest, s string) error {
	unit := strings.TrimSpace(rest)
	if unit == "" {
		return nil
	}
	r, size := utf8.DecodeRuneInString(unit)
	after := unit[size:]
	digitAfter := after != "" && isDigit(after[0])
	switch {
	case strings.ContainsFunc(rest, unicode.IsControl):
		return fmt.Errorf("%s has control characters in it: write a number such as 13.6", quote(s))
	case (r == 'e' || r == 'E') && isExponent(after):
		return fmt.Errorf("%s has an exponent: write the number out, such as 1200 or 0.0012", quote(s))
	case unicode.IsNumber(r) && unit == rest:
		return fmt.Errorf("%s is not all in plain digits: write a number such as 13.6", quote(s))
	case unicode.IsNumber(r), strings.ContainsRune("'’`′_·", r) && digitAfter:
		return fmt.Errorf("%s has a gap or a mark between its digits: write the number in one piece, such as 1200", quote(s))
	case !mayBeginUnit(r), r == '/' && digitAfter:
		return fmt.Errorf("%s has %s after its number %s: write one number, then its unit", quote(s), quote(unit), num)
	}
	return nil
}

func mayBeginUnit(r rune) bool {
	return unicode.IsLetter(r) || strings.ContainsRune("°º˚℃%\"″”'′’#/", r)
}

func isExponent(t string) bool {
	t = strings.TrimLeft(t, "+-−")
	return t != "" && isDigit(t[0])
}

// value reads digits with at most one decimal mark, or a fraction of whole numbers.
func value(num, s string) (*big.Rat, error) {
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
