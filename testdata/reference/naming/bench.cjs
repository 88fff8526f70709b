// Times naming a set of tones in Go and in tonal, over the same cases: every
// set of the twelve tones over every one of its tones as the bass.
//
//   node testdata/reference/naming/bench.cjs
//
// prints nanoseconds a name for both and their ratio. It runs `go test -bench`,
// so Go has to be installed.
//
// It needs tonal at the pinned version: npm ci in testdata/reference first.
'use strict'
const { execFileSync } = require('node:child_process')
const path = require('node:path')
const { Chord } = require('tonal')
const { version } = require('tonal/package.json')

const NAMES = 'C Db D Eb E F F# G Ab A Bb B'.split(' ')
const ROUNDS = 3 // after one to warm up; the fastest counts

function cases() {
  const all = []
  for (let set = 1; set < 1 << 12; set++) {
    for (let bass = 0; bass < 12; bass++) {
      if (!((set >> bass) & 1)) continue
      const up = []
      for (let i = 0; i < 12; i++) {
        const tone = (bass + i) % 12
        if ((set >> tone) & 1) up.push(NAMES[tone])
      }
      all.push(up)
    }
  }
  return all
}

function timeTonal() {
  const all = cases()
  let best = Infinity
  for (let round = 0; round <= ROUNDS; round++) {
    const start = process.hrtime.bigint()
    for (const notes of all) Chord.detect(notes)
    const took = Number(process.hrtime.bigint() - start) / all.length
    if (round > 0) best = Math.min(best, took)
  }
  return { count: all.length, nanoseconds: best }
}

function timeGo() {
  const root = path.join(__dirname, '..', '..', '..')
  const args = ['test', '-run', '^$', '-bench', '^BenchmarkNameChord$', '-count', String(ROUNDS), './analyse/harmony']
  const out = execFileSync('go', args, { cwd: root, encoding: 'utf8' })
  const runs = [...out.matchAll(/([\d.]+) ns\/op\s+(\d+) B\/op\s+(\d+) allocs\/op/g)]
  if (runs.length !== ROUNDS) throw new Error(`expected ${ROUNDS} runs of the benchmark, got:\n${out}`)
  return { nanoseconds: Math.min(...runs.map((r) => Number(r[1]))), allocations: Math.max(...runs.map((r) => Number(r[3]))) }
}

const go = timeGo()
const tonal = timeTonal()
console.log(`${tonal.count} set-and-bass cases, fastest of ${ROUNDS} rounds`)
console.log(`Go NameChord                 ${go.nanoseconds.toFixed(1)} ns a name, ${go.allocations} allocations`)
console.log(`tonal ${version} Chord.detect    ${tonal.nanoseconds.toFixed(1)} ns a name`)
console.log(`ratio                        ${(tonal.nanoseconds / go.nanoseconds).toFixed(0)}`)
