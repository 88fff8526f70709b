// Writes what two published libraries make of the names that the steps of
// families are called by, all of them moved to C:
//
//   node testdata/reference/voicings/names.cjs            writes names.csv beside it anew
//   node testdata/reference/voicings/names.cjs --check    exits 1 if the file there differs
//
// The first column is the list of symbols; a test says which one is missing. The
// others are pitch classes with the bass, empty where the library refuses the symbol.
//
// It needs both libraries at the pinned versions: npm ci in testdata/reference first.
'use strict'
const fs = require('node:fs')
const path = require('node:path')
const { chordParserFactory } = require('chord-symbol/lib/chord-symbol.js')
const { Chord, Note } = require('tonal')

const FILE = path.join(__dirname, 'names.csv')
const HEADING = ['# tonal 6.4.2, chord-symbol 4.0.0', 'symbol;tonal;chord-symbol']
for (const [name, version] of [['tonal', '6.4.2'], ['chord-symbol', '4.0.0']]) {
  if (require(`${name}/package.json`).version !== version) throw new Error(`expected ${name} ${version}`)
}

const classes = (notes) => [...new Set(notes.map((n) => Note.chroma(n)))].sort((a, b) => a - b).join(' ')

function tonal(symbol) {
  const { empty, notes } = Chord.get(symbol)
  return empty ? '' : classes(notes)
}

const parse = chordParserFactory()
function chordSymbol(symbol) {
  const { error, normalized } = parse(symbol)
  if (error) return ''
  return classes(normalized.notes.concat(normalized.bassNote || []))
}

const before = fs.readFileSync(FILE, 'utf8')
const symbols = before.split('\n').slice(HEADING.length).filter(Boolean).map((line) => line.split(';')[0])
const rows = symbols.map((s) => [s, tonal(s), chordSymbol(s)].join(';'))
const after = HEADING.concat(rows).join('\n') + '\n'
if (!process.argv.includes('--check')) fs.writeFileSync(FILE, after)
else if (after !== before) process.exit(1)
