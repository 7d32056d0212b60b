package pages

import (
	"cmp"
	"encoding/json"
	"fmt"
	"io/fs"
	"maps"
	"path"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"
)

// language holds every text a person reads, in one language. A text is a whole
// sentence with places in braces: "{n} figures do not hold". A key with ".one"
// is taken where n is 1, one with ".none" where it is 0.
type language struct {
	Tag     string            `json:"-"`
	Name    string            `json:"name"`
	Decimal string            `json:"decimal"` // "." or ","
	Numbers []string          `json:"numbers"` // small numbers as words, from 0
	Texts   map[string]string `json:"texts"`
	// Phrases are the words of answers, which speak English, by the English ones.
	Phrases map[string]string `json:"phrases"`
	phrase  *regexp.Regexp    // any of them; nil where they are English
	comma   bool              // the person's choice goes before the language's
}

// languages reads the embedded language files and more of them.
func languages(more map[string][]byte) (map[string]*language, error) {
	texts := map[string][]byte{}
	entries, err := fs.ReadDir(embedded, "lang")
	if err != nil {
		return nil, err
	}
	for _, e := range entries {
		text, err := embedded.ReadFile(path.Join("lang", e.Name()))
		if err != nil {
			return nil, err
		}
		texts[strings.TrimSuffix(e.Name(), ".json")] = text
	}
	maps.Copy(texts, more)
	out := map[string]*language{}
	for tag, text := range texts {
		l := &language{Tag: tag}
		if err := json.Unmarshal(text, l); err != nil {
			return nil, fmt.Errorf("language %s: %w", tag, err)
		}
		l.comma = l.Decimal == ","
		l.phrase = anyOf(l.Phrases)
		out[tag] = l
	}
	return out, nil
}

// anyOf matches the phrases that are said otherwise, the longest first.
func anyOf(phrases map[string]string) *regexp.Regexp {
	var all []string
	for english, own := range phrases {
		if english != own {
			all = append(all, regexp.QuoteMeta(english))
		}
	}
	if len(all) == 0 {
		return nil
	}
	slices.SortFunc(all, func(a, b string) int { return cmp.Or(len(b)-len(a), strings.Compare(a, b)) })
	return regexp.MustCompile(`(?:^|[^\pL\pN.-])(?:` + strings.Join(all, "|") + `)\b`)
}

// own says a text of an answer in the reader's words, as far as it has words for
// it. Names of parts, pads and nets are left alone: a hyphen or a point beside a
// word makes it a name.
func (l *language) own(text string) string {
	if l.phrase == nil {
		return text
	}
	var b strings.Builder
	for text != "" {
		at := l.phrase.FindStringIndex(text)
		if at == nil {
			break
		}
		found := text[at[0]:at[1]]
		first := 0
		if _, ok := l.Phrases[found]; !ok { // the character before came with it
			_, first = utf8.DecodeRuneInString(found)
		}
		word := found[first:]
		if rest := text[at[1]:]; strings.HasPrefix(rest, "-") || len(rest) > 1 && rest[0] == '.' && rest[1] != ' ' {
			b.WriteString(text[:at[1]])
		} else {
			b.WriteString(text[:at[0]+first] + l.Phrases[word])
		}
		text = text[at[1]:]
	}
	return b.String() + text
}

// language is the one a visitor reads.
func (s *Server) language(p prefs) *language {
	l := s.langs[p.Language]
	if l == nil {
		l = s.langs[s.usual]
	}
	mine := *l
	switch p.Comma {
	case "comma":
		mine.comma = true
	case "point":
		mine.comma = false
	}
	return &mine
}

// T is the text of a key, with pairs of name and value filled in. A key that is
// not there is shown as it is, so that nobody misses it.
func (l *language) T(key string, args ...any) string {
	text, ok := "", false
	for i := 0; i+1 < len(args); i += 2 {
		if n, is := args[i+1].(int); is && args[i] == "n" {
			text, ok = l.plural(key, n)
		}
	}
	if !ok {
		if text, ok = l.Texts[key]; !ok {
			return "⟨" + key + "⟩"
		}
	}
	for i := 0; i+1 < len(args); i += 2 {
		name := fmt.Sprint(args[i])
		text = strings.ReplaceAll(text, "{"+name+"}", l.number(fmt.Sprint(args[i+1])))
		if n, is := args[i+1].(int); is {
			text = strings.ReplaceAll(text, "{"+name+":word}", l.word(n))
		}
	}
	return text
}

func (l *language) plural(key string, n int) (string, bool) {
	form := map[int]string{0: ".none", 1: ".one"}[n]
	if form == "" {
		return "", false
	}
	text, ok := l.Texts[key+form]
	return text, ok
}

// Has reports whether there is a text of that key.
func (l *language) Has(key string) bool { _, ok := l.Texts[key]; return ok }

// word is a small number as a word.
func (l *language) word(n int) string {
	if n >= 0 && n < len(l.Numbers) {
		return l.Numbers[n]
	}
	return fmt.Sprint(n)
}

// Sentence begins a text with a capital letter.
func (l *language) Sentence(text string) string {
	for _, r := range text {
		return strings.ToUpper(string(r)) + text[len(string(r)):]
	}
	return text
}

// List puts words in a row: "a, b and c".
func (l *language) List(words []string) string {
	switch len(words) {
	case 0:
		return ""
	case 1:
		return words[0]
	}
	last := len(words) - 1
	return l.T("list.last", "before", strings.Join(words[:last], l.T("list.between")), "last", words[last])
}

// tags lists the languages there are.
func (s *Server) tags() []*language {
	var out []*language
	for _, tag := range slices.Sorted(maps.Keys(s.langs)) {
		out = append(out, s.langs[tag])
	}
	return out
}
