// Writes what tonal's Chord.detect says about every four-note chord that can be
// taken from the four sixth-diminished scales on C, over each of its four tones
// as the bass: 4 scales x 70 sets x 4 basses = 1,120 cases.
//
//   node testdata/reference/naming/detect.cjs            writes tonal_detect.csv beside it
//   node testdata/reference/naming/detect.cjs --check    exits 1 if the file there differs
//
// The notes are spelled as the scale spells them and go up from the bass, since
// detect takes the first note for the bass. The option assumePerfectFifth is on:
// without it detect is silent in 476 of the cases, with it in 332.
//
// It needs tonal at the pinned version: npm ci in testdata/reference first.
'use strict'
const fs = require('node:fs')
const path = require('node:path')
const { Chord } = require('tonal')
const { version } = require('tonal/package.json')

const PINNED = '6.4.2'
const FILE = path.join(__dirname, 'tonal_detect.csv')

const SCALES = {
  'major sixth-diminished': 'C D E F G Ab A B',
  'minor sixth-diminished': 'C D Eb F G Ab A B',
  'dominant seventh-diminished': 'C D E F G Ab Bb B',
  'dominant seventh flat five-diminished': 'C D E F Gb Ab Bb B',
}
const VOICES = 4
const OPTIONS = { assumePerfectFifth: true }

function chosen(from, count) {
  if (count === 0) return [[]]
  return from.flatMap((first, i) => chosen(from.slice(i + 1), count - 1).map((rest) => [first, ...rest]))
}

function table() {
  const lines = [`# tonal ${version}: Chord.detect, assumePerfectFifth`, 'scale,notes from the bass,names in tonal\'s order']
  for (const [scale, notes] of Object.entries(SCALES)) {
    for (const set of chosen(notes.split(' '), VOICES)) {
      for (let bass = 0; bass < VOICES; bass++) {
        const up = [...set.slice(bass), ...set.slice(0, bass)]
        lines.push([scale, up.join(' '), Chord.detect(up, OPTIONS).join(' ')].join(','))
      }
    }
  }
  return lines.join('\n') + '\n'
}

if (version !== PINNED) {
  console.error(`this table is made with tonal ${PINNED}, found ${version}`)
  process.exit(1)
}
const made = table()
if (process.argv.includes('--check')) {
  if (fs.readFileSync(FILE, 'utf8') !== made) {
    console.error('testdata/reference/naming/tonal_detect.csv differs from what tonal says: run detect.cjs')
    process.exit(1)
  }
} else {
  fs.writeFileSync(FILE, made)
}
