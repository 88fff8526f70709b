// Writes what two published libraries make of chord symbols and scales:
//
//   node symbols/tables.cjs DIR     chord-symbol.csv, tonal.csv and scales.csv in DIR
//
// The symbols are those of ../theory/chord_symbols.csv, then every stem with
// its tails below, then every root with a few of them. A line without pitch
// classes is a symbol the library refuses.
'use strict'
const fs = require('node:fs')
const path = require('node:path')
const { chordParserFactory } = require('chord-symbol/lib/chord-symbol.js')
const { Chord, Note, Scale } = require('tonal')

// The versions the tables are made with; another one stops the script.
const PINNED = { 'chord-symbol': '4.0.0', tonal: '6.4.2' }

const BASSES = ['/E', '/Bb']
const FORMS = [
  {
    stems: ['', 'm', '-', 'min', 'mi', 'maj', 'M', 'dim', 'o', '°', '+', 'aug'],
    tails: ['', '(b9)', '(#11)', '(9)', 'add9', '(add9)', '(add11)', 'no5', '(no5)'],
  },
  { stems: ['6', 'm6', '-6', '69', '6/9', 'm69', 'm6/9'], tails: ['', '#11', '(#11)', '(9)', 'no5', '(no5)'] },
  {
    stems: ['maj7', 'M7', 'ma7', 'Δ7', '^7', '7M', 'maj9', 'M9', 'maj13', 'maj7#5', '+maj7'],
    tails: ['', '#11', '(#11)', 'b5', '(b5)', '#5', '(#5)', '(9)', '(13)', '(9,#11)', 'sus4', 'no5', 'no3', '(no3)'],
  },
  {
    stems: ['7', '9', '13', '+7', 'aug7', '7#5', '7b5', '7sus', '7sus4', '9sus4', '13sus4'],
    tails: [
      '', 'b9', '#9', '#11', 'b13', '(b9)', '(#9)', '(#11)', '(b13)', '-9', '+9', 'b9b13', 'b9#9', 'b9#11', '#9#11', '(b9,#9)', '(b9,b13)',
      '(b9,#11)', '(#9,b13)', '(#9,#11)', 'b5', '(b5)', '#5', '(#5)', '-5', '+5', 'b5b9', 'b5#9', '#5b9', '#5#9', '(#5,#9)', '(9)', '(11)', '(13)',
      'add13', 'no5', '(no5)', 'no3', '(no3)', 'sus4',
    ],
  },
  { stems: ['11', 'maj11', 'm11', '-11', '7alt', 'alt', 'sus', 'sus2', 'sus4', '2', '4', '5', 'add11'], tails: ['', 'b9', '(b9)', 'no5'] },
  {
    stems: ['m7', '-7', 'mi7', 'min7', 'm9', '-9', 'm13', 'mM7', 'mmaj7', 'm(maj7)'],
    tails: ['', 'b5', '(b5)', '-5', '#5', 'b9', '(b9)', '#11', '(9)', '(11)', '(13)', 'add11', '(add11)', '(b13)', 'no5'],
  },
  { stems: ['dim7', 'o7', '°7', 'ø', 'ø7', 'h7', 'm7b5', '-7b5'], tails: ['', 'b9', '(b9)', '(9)', '(11)', '(b13)', '(maj7)'] },
]
const ROOTS = ['C', 'C#', 'Db', 'D', 'D#', 'Eb', 'E', 'F', 'F#', 'Gb', 'G', 'G#', 'Ab', 'A', 'A#', 'Bb', 'B', 'Cb', 'E#', 'B#', 'Fb']
const KINDS = ['', 'm', '5', '6', 'm6', '7', '9', '13', 'maj7', 'm7', 'm7b5', 'dim7', 'dim', 'aug', '7b9', '7#9', '7b5', 'sus4', '7sus4', '/G', 'm7/D']

// tonal's names for the scales it has; the dominant seventh-diminished scale
// has none in any rotation.
const SCALES = {
  'major sixth-diminished': 'bebop major',
  'minor sixth-diminished': 'minor six diminished',
  'dominant seventh flat five-diminished': "messiaen's mode #6",
}

function symbols() {
  const theory = fs.readFileSync(path.join(__dirname, '../../theory/chord_symbols.csv'), 'utf8').split('\n').slice(1).filter(Boolean)
  const list = theory.map((line) => (line.startsWith('"') ? line.slice(1, line.indexOf('"', 1)) : line.slice(0, line.indexOf(','))))
  for (const { stems, tails } of FORMS) {
    for (const stem of stems) for (const tail of [...tails, ...BASSES]) list.push('C' + stem + tail)
  }
  for (const root of ROOTS) for (const kind of KINDS) list.push(root + kind)
  return [...new Set(list)]
}

function classes(numbers) {
  return [...new Set(numbers.map((n) => ((n % 12) + 12) % 12))].sort((a, b) => a - b).join(' ')
}

const parse = chordParserFactory()
const LIBRARIES = {
  'chord-symbol': (symbol) => {
    const { error, normalized } = parse(symbol)
    if (error) return ['', '']
    const root = Note.chroma(normalized.rootNote)
    return [classes(normalized.semitones.map((s) => s + root)), normalized.bassNote || normalized.rootNote]
  },
  tonal: (symbol) => {
    const chord = Chord.get(symbol)
    return chord.empty ? ['', ''] : [classes(chord.notes.map(Note.chroma)), chord.bass || chord.tonic]
  },
}

function quote(field) {
  return /[",]|^\s|\s$/.test(field) ? `"${field}"` : field
}

function write(dir, file, library, heading, rows) {
  const lines = [`# ${library} ${PINNED[library]}`, heading, ...rows.map((row) => row.map(quote).join(','))]
  fs.writeFileSync(path.join(dir, file), lines.join('\n') + '\n')
}

const dir = process.argv[2]
if (!dir) {
  console.error('usage: node symbols/tables.cjs DIR')
  process.exit(2)
}
for (const [library, version] of Object.entries(PINNED)) {
  const found = JSON.parse(fs.readFileSync(path.join(__dirname, '../node_modules', library, 'package.json'), 'utf8')).version
  if (found !== version) {
    console.error(`these tables are made with ${library} ${version}, found ${found}`)
    process.exit(1)
  }
}
for (const [library, read] of Object.entries(LIBRARIES)) {
  write(dir, `${library}.csv`, library, 'symbol,pcs,bass', symbols().map((symbol) => [symbol, ...read(symbol)]))
}
const rows = []
for (const [ours, theirs] of Object.entries(SCALES)) {
  for (const root of ROOTS) rows.push([ours, root, theirs, Scale.get(`${root} ${theirs}`).notes.join(' ')])
}
write(dir, 'scales.csv', 'tonal', 'scale,root,name,notes', rows)
