package svg

// tokens are the colours of the pages' design, by day and by night.
const tokens = `.sheet{--ground:#FFFFFF;--ink:#1B2426;--quiet:#4A5659;--hair:#CFD0C8;--act:#0A5C6B;--picked:#D8E6E3;--fails:#9A3A18;--well:#E9E8DF}
@media (prefers-color-scheme:dark){.sheet{--ground:#1D2426;--ink:#E8E9E2;--quiet:#AEB8B8;--hair:#333D40;--act:#7CC4CF;--picked:#22393B;--fails:#F5A488;--well:#0F1314}}
@media print{.sheet{--ground:#FFFFFF;--ink:#000000;--quiet:#000000;--hair:#999999;--act:#000000;--picked:#FFFFFF;--fails:#000000;--well:#FFFFFF}}
`

// Rules are how the sheet's things look, whatever the colours: a style sheet for
// the page that shows a sheet without a style of its own. Its custom properties
// are ground, ink, quiet, hair, act, picked, fails and well.
func Rules() string { return rules }

const rules = `.sheet{font-family:system-ui,sans-serif;font-variant-numeric:tabular-nums}
.sheet .ground{fill:var(--ground)}
.sheet path,.sheet line,.sheet circle,.sheet rect,.sheet polyline{fill:none;stroke:var(--ink);stroke-width:1.1;stroke-linecap:round;stroke-linejoin:round}
.sheet .ground,.sheet .nolines{stroke:none}
.sheet .power{stroke-width:2.2}
.sheet .thick{stroke-width:2.4;stroke-linecap:butt}
.sheet .bar{stroke-width:1.8}
.sheet .flag{stroke:var(--quiet);stroke-width:.8}
.sheet .dot,.sheet .solid{fill:var(--ink);stroke:none}
.sheet .body{fill:var(--ground);stroke-width:1.3}
.sheet .box{stroke:var(--quiet);stroke-width:.8;stroke-dasharray:5 4}
.sheet text{fill:var(--ink);stroke:none}
.sheet .ref{font-size:9px;font-weight:600}
.sheet .value{font-size:9px;font-weight:400;fill:var(--quiet)}
.sheet .pin{font-size:8px;fill:var(--quiet)}
.sheet .net text{font-size:8px;font-family:ui-monospace,monospace;fill:var(--act)}
.sheet .heading{font-size:11px;font-weight:600}
.sheet .note{font-size:9px;fill:var(--quiet)}
.sheet text.title{font-size:16px;font-weight:600}
.sheet text.title .value{font-size:13px}
.sheet .note.voltage{fill:var(--ink);font-weight:600}
.sheet .over{fill:var(--ink)}
.sheet .mark{stroke-width:.9}
.sheet .hard{stroke:var(--fails);stroke-width:2.4}
.sheet .step circle{fill:var(--ink);stroke:none}
.sheet .step .number{font-size:9px;font-weight:700;fill:var(--ground)}
.sheet .walked path,.sheet .walked rect{stroke:var(--act);stroke-width:2.4}
.sheet .walked .solid{stroke:none}
.sheet .walked .power{stroke-width:3.2}
.sheet .walked .flag{stroke-width:1.6}
.sheet .cell path,.sheet .cell line{stroke:var(--quiet)}
.sheet .cell .lead{stroke-dasharray:3 3}
.sheet .cell text{fill:var(--quiet)}
`

func (p *picture) style() {
	if p.opt.Unstyled {
		return
	}
	p.f("<style>")
	if !p.opt.Inline {
		p.f("%s", tokens)
	}
	p.f("%s</style>\n", rules)
}
