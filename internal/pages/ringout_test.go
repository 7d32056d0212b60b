package pages

import (
	"bytes"
	"encoding/json"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"mime/multipart"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"cupel/internal/desk"
	"cupel/internal/ringout"
)

// asModule sends a form as a module does, and gives the answer's data.
func (x *served) asModule(path string, fields url.Values) (int, map[string]any) {
	x.t.Helper()
	fields.Set("token", x.token)
	status, text, _ := x.do(http.MethodPost, path, strings.NewReader(fields.Encode()), func(r *http.Request) {
		x.asOwn(r)
		r.Header.Set("Accept", "application/json")
	})
	var out map[string]any
	if err := json.Unmarshal([]byte(text), &out); err != nil {
		x.t.Fatalf("%s: %v in %q", path, err, text)
	}
	return status, out
}

func reading(a, b, result, when string) url.Values {
	return url.Values{"kind": {"pair"}, "a": {a}, "b": {b}, "result": {result}, "when": {when}}
}

func (x *served) log() ringout.Log {
	x.t.Helper()
	src, err := os.ReadFile(filepath.Join(x.dir, ringout.LogName))
	if err != nil {
		x.t.Fatal(err)
	}
	log, list := ringout.ReadLog(ringout.LogName, src)
	if len(list) != 0 {
		x.t.Fatal(list)
	}
	return log
}

// Every entry is on disk before it is acknowledged, one that is sent again is
// taken once, and undo takes it out of the file byte for byte.
func TestEntries(t *testing.T) {
	x := serve(t, "hive-3s")
	if status, a := x.asModule("/ringout/enter", reading("B+", "P+", "connected", "1")); status != 200 {
		t.Fatal(status, a)
	}
	before := x.files()
	for range 3 { // the acknowledgement was lost, the module sends it again
		if status, a := x.asModule("/ringout/enter", reading("B+", "T1", "open", "2")); status != 200 {
			t.Fatal(status, a)
		}
	}
	if log := x.log(); len(log.Entries) != 2 || log.Entries[1].A != "B+" || log.Entries[1].Result != ringout.Open {
		t.Errorf("%+v", log.Entries)
	}
	x.asModule("/do/undo", url.Values{})
	if !equalFiles(before, x.files()) {
		t.Error("undone is not byte for byte what was before")
	}
	x.asModule("/do/redo", url.Values{})
	for line, want := range map[string]ringout.Entry{
		"0,4":                 {Kind: ringout.Pair, A: "T1", B: []string{"T2"}, Result: ringout.Ohms, Value: 0.4},
		"R1.1 R1.2 4k7":       {Kind: ringout.Pair, A: "R1.1", B: []string{"R1.2"}, Result: ringout.Ohms, Value: 4700},
		"s B+ T1 T2":          {Kind: ringout.Sweep, A: "B+", B: []string{"T1", "T2"}, Result: ringout.Open},
		"b B+ T1 T2 c":        {Kind: ringout.Bridge, A: "B+", B: []string{"T1", "T2"}, Result: ringout.Connected},
		"R1.1 R1.2 >20M":      {Kind: ringout.Pair, A: "R1.1", B: []string{"R1.2"}, Result: ringout.Ohms, Value: 20e6},
		"R1.1 R1.2 0,61 V":    {Kind: ringout.Pair, A: "R1.1", B: []string{"R1.2"}, Result: ringout.Drop, Value: 0.61},
		"R1.1 R1.2 connected": {Kind: ringout.Pair, A: "R1.1", B: []string{"R1.2"}, Result: ringout.Connected},
	} {
		f := reading("T1", "T2", "", line)
		f.Set("line", line)
		if status, a := x.asModule("/ringout/enter", f); status != 200 {
			t.Errorf("%q: %d %v", line, status, a)
			continue
		}
		log := x.log()
		e := log.Entries[len(log.Entries)-1]
		if e.Kind != want.Kind || e.A != want.A || fmt.Sprint(e.B) != fmt.Sprint(want.B) || e.Result != want.Result || e.Value != want.Value {
			t.Errorf("%q: %+v", line, e)
		}
	}
	n := len(x.log().Entries)
	for line, why := range map[string]string{
		"R1.1 nosuch c": "nosuch", "banana": "neither a reading nor two pads", "R1.1 R1.2 4X": "is no reading", "R1.1 R1.1 c": "Not taken",
	} {
		f := reading("T1", "T2", "", line)
		f.Set("line", line)
		if status, a := x.asModule("/ringout/enter", f); status != http.StatusUnprocessableEntity || !strings.Contains(fmt.Sprint(a["error"]), why) {
			t.Errorf("%q: %d %v", line, status, a)
		}
	}
	if len(x.log().Entries) != n {
		t.Error("a refused entry is in the log")
	}
}

// Striking out keeps the entry and takes it back by a later one; putting it back
// takes that one back in turn.
func TestStrikeOut(t *testing.T) {
	x := serve(t, "hive-3s")
	x.asModule("/ringout/enter", reading("B+", "T1", "connected", "1"))
	x.asModule("/ringout/enter", reading("B+", "P+", "connected", "2"))
	x.asModule("/ringout/strike", url.Values{"number": {"1"}})
	if log := x.log(); len(log.Entries) != 3 || len(log.Active()) != 1 {
		t.Fatalf("%+v", log.Entries)
	}
	_, page, _ := x.do(http.MethodGet, "/ringout", nil, nil)
	if !strings.Contains(page, "<s>B&#43; – T1: connected</s>") {
		t.Errorf("the strip does not show it struck out:\n%s", main(page))
	}
	x.asModule("/ringout/strike", url.Values{"number": {"3"}})
	if log := x.log(); len(log.Active()) != 2 {
		t.Errorf("%+v", log.Entries)
	}
	if status, _ := x.asModule("/ringout/strike", url.Values{"number": {"77"}}); status != http.StatusUnprocessableEntity {
		t.Error(status)
	}
}

// Readings that contradict each other take the place of the question.
func TestContradiction(t *testing.T) {
	x := serve(t, "hive-3s")
	x.asModule("/ringout/enter", reading("B+", "P+", "connected", "1"))
	x.asModule("/ringout/enter", reading("P+", "T1", "connected", "2"))
	if _, a := x.asModule("/ringout/enter", reading("B+", "T1", "open", "3")); fmt.Sprint(a["more"]) != "map[clash:true joined:0]" {
		t.Errorf("%v", a)
	}
	_, page, _ := x.do(http.MethodGet, "/ringout", nil, nil)
	if !strings.Contains(page, "<h1>Readings 1, 2 and 3 can&#39;t all be right; repeat") {
		t.Errorf("%s", main(page))
	}
}

// Two that ring out at once lose no entry: the log is only ever added to.
func TestTwoRingOut(t *testing.T) {
	x := serve(t, "hive-3s")
	const each = 12
	done := make(chan int)
	for who := range 3 {
		go func() {
			bad := 0
			for i := range each {
				if status, _ := x.asModule("/ringout/enter", reading("B+", "T1", "open", fmt.Sprint(who, " ", i))); status != 200 {
					bad++
				}
			}
			done <- bad
		}()
	}
	for range 3 {
		if bad := <-done; bad > 0 {
			t.Errorf("%d entries were refused", bad)
		}
	}
	if n := len(x.log().Entries); n != 3*each {
		t.Errorf("%d entries of %d", n, 3*each)
	}
}

// While another text has mistakes readings are still taken.
func TestEntriesBesideMistakes(t *testing.T) {
	x := serve(t, "hive-3s")
	x.asModule("/ringout/enter", reading("B+", "P+", "connected", "1"))
	s := x.desk.Now()
	broken := append([]byte("nonsense: 1\n"), s.Texts["board.yaml"]...)
	if _, err := x.desk.Do(desk.Edit{Label: "x", Files: []desk.File{{Name: "board.yaml", Base: s.Hash("board.yaml"), Text: broken}}}); err != nil {
		t.Fatal(err)
	}
	for i := range 3 {
		if status, a := x.asModule("/ringout/enter", reading("B+", "T1", "open", fmt.Sprint("later ", i))); status != 200 {
			t.Fatal(status, a)
		}
	}
	if n := len(x.log().Entries); n != 4 {
		t.Errorf("%d entries", n)
	}
}

// The nets that readings show go into the board's text, and come out by undo.
func TestApply(t *testing.T) {
	x := serve(t, "hive-3s")
	x.asModule("/ringout/enter", reading("B+", "P+", "connected", "1"))
	before := x.files()
	if status, a := x.asModule("/ringout/apply", url.Values{}); status != 200 {
		t.Skipf("not written: %v", a) // what is not rung out yet may not be writable
	}
	x.asModule("/do/undo", url.Values{})
	if !equalFiles(before, x.files()) {
		t.Error("undone is not byte for byte what was before")
	}
}

// photoOf is a small photo of a board, as a file.
func photoOf(t *testing.T, asPNG bool) []byte {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, 640, 480))
	for y := range 480 {
		for x := range 640 {
			img.Set(x, y, color.RGBA{uint8(x * 255 / 640), uint8(y * 255 / 480), 90, 255})
		}
	}
	var b bytes.Buffer
	var err error
	if asPNG {
		err = png.Encode(&b, img)
	} else {
		err = jpeg.Encode(&b, img, nil)
	}
	if err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// upload sends a photo as the page's form does.
func (x *served) upload(side string, file []byte) (int, string) {
	x.t.Helper()
	var b bytes.Buffer
	m := multipart.NewWriter(&b)
	m.WriteField("token", x.token)
	m.WriteField("side", side)
	w, _ := m.CreateFormFile("photo", "../../etc/x.jpg")
	w.Write(file)
	m.Close()
	status, text, _ := x.do(http.MethodPost, "/ringout/photo", &b, func(r *http.Request) {
		r.Header.Set("Origin", x.url)
		r.Header.Set("Content-Type", m.FormDataContentType())
	})
	return status, text
}

func TestPhotos(t *testing.T) {
	x := serve(t, "hive-3s")
	before := x.files()
	for name, file := range map[string][]byte{
		"nothing": nil, "a text": []byte("cupel: 1\n"), "half a photo": photoOf(t, false)[:3000],
		"a drawing": []byte(`<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>`),
		"a bomb":    []byte("\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\x00\x00\x7f\xff\x00\x00\x7f\xff\x08\x06\x00\x00\x00\x1a\x81\x0b\xdd"),
	} {
		if status, text := x.upload("front", file); status != http.StatusUnprocessableEntity || !strings.Contains(text, "Refused") {
			t.Errorf("%s: %d %s", name, status, main(text))
		}
	}
	if status, _ := x.upload("front", make([]byte, photoLimit)); status != http.StatusRequestEntityTooLarge {
		t.Errorf("an oversized upload: %d", status)
	}
	if status, _ := x.upload("../x", photoOf(t, false)); status != http.StatusUnprocessableEntity {
		t.Errorf("a side that is none: %d", status)
	}
	if !equalFiles(before, x.files()) {
		t.Fatal("a refused photo changed something")
	}
	for side, asPNG := range map[string]bool{"front": false, "back": true} {
		if status, text := x.upload(side, photoOf(t, asPNG)); status != http.StatusSeeOther {
			t.Fatalf("%s: %d %s", side, status, main(text))
		}
	}
	held := x.files()
	for i, h := range [][2]float64{{10, 10}, {600, 20}, {590, 470}, {30, 460}} {
		for side, px := range map[string]float64{"front": h[0], "back": 640 - h[0]} {
			f := url.Values{"what": {"hole"}, "name": {fmt.Sprintf("h%d", i)}, "side": {side}, "x": {fmt.Sprint(px)}, "y": {fmt.Sprint(h[1])}}
			if status, a := x.asModule("/ringout/place", f); status != 200 {
				t.Fatal(status, a)
			}
		}
	}
	x.asModule("/ringout/place", url.Values{"what": {"scale"}, "name": {"ruler"}, "side": {"front"}, "x": {"0"}, "y": {"0"}, "x2": {"100"}, "y2": {"0"}, "length": {"10 mm"}})
	x.asModule("/ringout/place", url.Values{"what": {"pad"}, "name": {"B+"}, "side": {"back"}, "x": {"600"}, "y": {"100"}})
	_, page, _ := x.do(http.MethodGet, "/ringout", nil, nil)
	if !strings.Contains(page, "Front and back are joined by 4 holes; they lie 0.00 mm off") || !strings.Contains(page, "10.0 pixels are 1 mm") {
		t.Errorf("%s", main(page))
	}
	for name, f := range map[string]url.Values{
		"outside":         {"what": {"pad"}, "name": {"B-"}, "side": {"front"}, "x": {"641"}, "y": {"1"}},
		"no number":       {"what": {"pad"}, "name": {"B-"}, "side": {"front"}, "x": {"NaN"}, "y": {"1"}},
		"no name":         {"what": {"pad"}, "side": {"front"}, "x": {"1"}, "y": {"1"}},
		"no such thing":   {"what": {"net"}, "name": {"B-"}, "side": {"front"}, "x": {"1"}, "y": {"1"}},
		"no length":       {"what": {"scale"}, "name": {"r"}, "side": {"front"}, "x": {"1"}, "y": {"1"}, "x2": {"2"}, "y2": {"2"}, "length": {"3 V"}},
		"twice one place": {"what": {"scale"}, "name": {"r"}, "side": {"front"}, "x": {"1"}, "y": {"1"}, "x2": {"1"}, "y2": {"1"}, "length": {"3 mm"}},
	} {
		if status, a := x.asModule("/ringout/place", f); status != http.StatusUnprocessableEntity {
			t.Errorf("%s: %d %v", name, status, a)
		}
	}
	for range 10 {
		x.asModule("/do/undo", url.Values{})
	}
	if !equalFiles(held, x.files()) {
		t.Error("undone is not byte for byte what was before")
	}
}

// A photo is handed out in tiles, and stored without what it tells besides.
func TestTiles(t *testing.T) {
	x := serve(t, "hive-3s")
	src := photoOf(t, false)
	told := append(append(bytes.Clone(src[:2]), "\xff\xe1\x00\x15Exif\x00\x0047.3769 N 8.5"...), src[2:]...)
	if status, text := x.upload("front", told); status != http.StatusSeeOther {
		t.Fatalf("%d %s", status, main(text))
	}
	kept, err := os.ReadFile(filepath.Join(x.dir, "front.jpg"))
	if err != nil || bytes.Contains(kept, []byte("47.3769")) || !bytes.Equal(kept, src) {
		t.Errorf("%v: kept are %d bytes of %d", err, len(kept), len(src))
	}
	hash := desk.Hash(kept)[:16]
	for address, want := range map[string]int{
		"side=front&level=0&column=1&row=0&hash=" + hash:  200,
		"side=front&level=1&column=0&row=0&hash=" + hash:  200,
		"side=front&level=0&column=2&row=0&hash=" + hash:  422,
		"side=front&level=x&column=0&row=0&hash=" + hash:  422,
		"side=back&level=0&column=0&row=0&hash=" + hash:   422,
		"side=front&level=0&column=0&row=0&hash=00000000": 422,
	} {
		status, body, h := x.do(http.MethodGet, "/ringout/tile?"+address, nil, nil)
		if status != want || want == 200 && (h.Get("Content-Type") != "image/jpeg" || !strings.HasPrefix(body, "\xff\xd8")) {
			t.Errorf("%s: %d %s", address, status, h.Get("Content-Type"))
		}
	}
}

// The margin speaks of the pads that are asked for, also when the person named
// them.
func TestNetsOfTheQuestion(t *testing.T) {
	x := serve(t, "hive-3s")
	x.asModule("/ringout/enter", reading("T1", "R1.1", "connected", "1"))
	_, page, _ := x.do(http.MethodGet, "/ringout?a=T1&b=P-", nil, nil)
	_, margin, _ := strings.Cut(page, `<aside class="margin"`)
	if !strings.Contains(page, "<h1>Touch T1 and P-</h1>") || !strings.Contains(margin, `<p class="mono">T1 R1.1 </p>`) || !strings.Contains(margin, `<p class="mono">P- </p>`) {
		t.Errorf("%s", main(page))
	}
}
