//! Texts that mean harm, in one list: each could make something of an output that it is not.
//!
//! Those that make markup carry the mark `hst` as an element's or attribute's name, so that a page
//! which holds one is told by its parser. It holds no text that is only wrong. The CWE and CVE
//! numbers are from memory.

/// What a text could make of an output, with where it is described.
pub(super) struct Hostile {
    /// What it tries, with its source.
    pub(super) tries: &'static str,
    /// The text.
    pub(super) text: &'static str,
}

const fn hostile(tries: &'static str, text: &'static str) -> Hostile {
    Hostile { tries, text }
}

/// Tried in every field.
pub(super) const EVERYWHERE: &[Hostile] = &[
    hostile(
        "markup, and out of an attribute: CWE-79, OWASP XSS prevention, rules 1 and 2",
        "\"'><img src=x onerror=alert(1) hst>",
    ),
    hostile(
        "a formula: CWE-1236, OWASP CSV Injection",
        "=cmd|' /C calc'!A0",
    ),
    hostile(
        "obeyed by a terminal: CWE-150, ECMA-48 CSI",
        "\u{1b}[2J\u{1b}[31mhst",
    ),
    hostile(
        "another line of a log or a list: CWE-117, CWE-93",
        "a\r\nERROR hst: forged",
    ),
    hostile(
        "text reordered: CVE-2021-42574, UAX 9",
        "\u{202e}hst\u{2066}",
    ),
];

/// Tried in some fields each, all of them in some.
pub(super) const SOMEWHERE: &[Hostile] = &[
    hostile("markup: CWE-79", "<script hst>alert(1)</script>"),
    hostile("a handler of a drawing", "'><svg/onload=alert(1) hst>"),
    hostile(
        "out of elements that hold text",
        "</title></style></textarea></script><b hst>",
    ),
    hostile(
        "a handler without a bracket",
        "\" onfocus=alert(1) autofocus hst=\"",
    ),
    hostile("the same in single quotes", "' onclick='alert(1)' hst='"),
    hostile("the same in backticks", "` onclick=alert(1) hst=`"),
    hostile(
        "out of a drawing",
        "</text></svg><foreignObject><p hst></foreignObject>",
    ),
    hostile("a section of characters", "]]><hst/><![CDATA["),
    hostile("out of a comment", "--><hst/><!--"),
    hostile("an address that runs", "javascript:alert(1)//hst"),
    hostile("an address that is a page", "data:text/html,<b hst>"),
    hostile("an address elsewhere", "//evil.example/hst"),
    hostile("unescaped twice", "&lt;b hst&gt;&#60;b hst&#62;&amp;lt;"),
    hostile("filled in by a template", "{{7*7}}${7*7}#{7*7}<%=7*7%>"),
    hostile(
        "a style: CWE-79",
        "}*{background:url(//evil.example/hst)}</style>",
    ),
    hostile("a formula by its sign", "+1+1"),
    hostile("a formula by its sign", "-1+1"),
    hostile("a formula by its sign", "@SUM(1+1)"),
    hostile("a formula in wide letters", "\u{ff1d}1+1"),
    hostile("a formula behind blanks", "  =1+1"),
    hostile("a formula behind a tab", "\t=1+1"),
    hostile("a formula behind a line end", "\r=1+1"),
    hostile(
        "a formula behind a separator: OWASP CSV Injection",
        "x;=1+1",
    ),
    hostile("a formula behind separator and quote", "x; \"=1+1"),
    hostile("quotes of a list", "a\"b,\"\",'c`d"),
    hostile("escapes of strings", "a\\\"b\\u0022\\n\\x1b"),
    hostile("half a letter as JSON writes it", "\\ud800"),
    hostile("a line end", "a\nb"),
    hostile("a line end alone", "a\rb"),
    hostile("line ends of Unicode", "a\u{85}b\u{2028}c\u{2029}d"),
    hostile(
        "a link of a terminal: OSC 8",
        "\u{1b}]8;;http://evil.example\u{7}hst",
    ),
    hostile(
        "the clipboard of a terminal: OSC 52",
        "\u{1b}]52;c;aGk=\u{7}",
    ),
    hostile(
        "control characters of 8 bits: C1",
        "\u{9b}2J\u{9d}0;hst\u{9c}",
    ),
    hostile("a letter taken back", "abc\u{8}\u{8}\u{8}hst\u{7f}\u{7}"),
    hostile("nothing, in the middle", "a\0b"),
    hostile(
        "isolates left open: CVE-2021-42574",
        "\u{2067}\u{2066}\u{2068}hst",
    ),
    hostile("marks of direction", "\u{200f}\u{200e}\u{61c}hst"),
    hostile("letters without width", "h\u{200b}s\u{2060}t\u{feff}"),
    hostile("tags that nobody sees", "a\u{e0068}\u{e0073}\u{e0074}b"),
    hostile("fillers that nobody sees", "\u{3164}\u{115f}\u{ffa0}"),
    hostile(
        "letters heaped on one",
        "x\u{301}\u{302}\u{303}\u{304}\u{306}\u{307}\u{308}\u{30a}\u{30b}\u{30c}\u{30f}\u{311}",
    ),
    hostile(
        "from the right: a name as good as any",
        "\u{642}\u{627}\u{631}\u{628} 7",
    ),
    hostile("no letters at all", "\u{fffe}\u{ffff}\u{1fffe}"),
    hostile(
        "another day of a calendar: RFC 5545, 3.1",
        "x\r\nEND:VEVENT\r\nBEGIN:VEVENT\r\nHST:1",
    ),
    hostile("the same, escaped", "x\\nBEGIN:VALARM;VALUE=URI:hst,"),
    hostile("another header: CWE-113", "x\r\nSet-Cookie: hst=1"),
    hostile("out of a folder: CWE-22", "../../../hst"),
    hostile("the same, escaped: CWE-22", "%2e%2e%2f%2e%2e%2fhst%00"),
    hostile("the same elsewhere", "..\\..\\hst"),
    hostile("a path from the root", "/etc/hst"),
    hostile("a name of a device", "CON"),
    hostile("an option", "--help"),
    hostile("an option", "-hst"),
    hostile("run by a shell", "$(hst)`hst`;hst|hst&"),
    hostile("nothing", ""),
    hostile("nothing to be seen", "   "),
    hostile(
        "too long for a word",
        "hsthsthsthsthsthsthsthsthsthsthsthsthsthsthsthsthsthsthsthsthsthst",
    ),
    hostile(
        "too long for a word, by bytes",
        "\u{8239}\u{8239}\u{8239}\u{8239}\u{8239}\u{8239}\u{8239}\u{8239}\u{8239}\u{8239}\u{8239}\u{8239}\u{8239}\u{8239}\u{8239}\u{8239}\u{8239}\u{8239}\u{8239}\u{8239}\u{8239}\u{8239}",
    ),
];
