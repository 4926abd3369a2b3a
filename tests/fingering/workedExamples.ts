/**
 * Short passages with the fingering that a harpist would write: common practice, no source. The passages are our own.
 */
import type { HandName } from "../../shared/fingering/model.ts";

export interface WrittenNote {
  readonly pitch: string;
  /** In quarter notes; 0 for a grace note. */
  readonly duration: number;
  /** Sounds together with the note before it; the lowest comes first. */
  readonly chord?: boolean;
  readonly grace?: boolean;
}

export interface WorkedFingering {
  /** One for each note. */
  readonly fingers: readonly number[];
  /** Placings as inclusive ranges of notes. */
  readonly brackets: readonly (readonly [number, number])[];
  /** How each bracket follows the one before it. */
  readonly joins: readonly ("overlap" | "cross" | "separate")[];
}

export interface WorkedExample {
  readonly id: string;
  readonly category: string;
  readonly hand: HandName;
  /** Quarter notes a minute. */
  readonly tempo: number;
  readonly notes: readonly WrittenNote[];
  readonly expected: WorkedFingering;
  /** Also right. */
  readonly alternatives: readonly (WorkedFingering & { readonly note: string })[];
  readonly why: string;
  /** How else the brackets are printed. */
  readonly bracketNote?: string;
  /** Ranges of notes that are the same passage and get the same fingers. */
  readonly repeatGroups?: readonly (readonly [number, number])[];
}

export const workedExamples: readonly WorkedExample[] = [
  {
    id: "S01",
    category: "scale",
    hand: "right",
    tempo: 96,
    notes: [
      { pitch: "C4", duration: 0.5 },
      { pitch: "D4", duration: 0.5 },
      { pitch: "E4", duration: 0.5 },
      { pitch: "F4", duration: 0.5 },
      { pitch: "G4", duration: 0.5 },
      { pitch: "A4", duration: 0.5 },
      { pitch: "B4", duration: 0.5 },
      { pitch: "C5", duration: 0.5 },
    ],
    expected: {
      fingers: [4, 3, 2, 1, 4, 3, 2, 1],
      brackets: [
        [0, 3],
        [4, 7],
      ],
      joins: ["cross"],
    },
    alternatives: [],
    why: "Eight notes up: two groups of four; while the thumb still holds F the 4th finger goes under to the adjacent G, one crossing in all.",
  },
  {
    id: "S02",
    category: "scale",
    hand: "right",
    tempo: 96,
    notes: [
      { pitch: "C5", duration: 0.5 },
      { pitch: "B4", duration: 0.5 },
      { pitch: "A4", duration: 0.5 },
      { pitch: "G4", duration: 0.5 },
      { pitch: "F4", duration: 0.5 },
      { pitch: "E4", duration: 0.5 },
      { pitch: "D4", duration: 0.5 },
      { pitch: "C4", duration: 0.5 },
    ],
    expected: {
      fingers: [1, 2, 3, 4, 1, 2, 3, 4],
      brackets: [
        [0, 3],
        [4, 7],
      ],
      joins: ["cross"],
    },
    alternatives: [],
    why: "Mirror of S01: while the 4th finger still holds G the thumb crosses over to the adjacent F.",
  },
  {
    id: "S07",
    category: "scale",
    hand: "right",
    tempo: 96,
    notes: [
      { pitch: "C4", duration: 0.5 },
      { pitch: "D4", duration: 0.5 },
      { pitch: "E4", duration: 0.5 },
      { pitch: "F4", duration: 0.5 },
      { pitch: "G4", duration: 0.5 },
      { pitch: "A4", duration: 0.5 },
      { pitch: "B4", duration: 0.5 },
      { pitch: "C5", duration: 0.5 },
      { pitch: "B4", duration: 0.5 },
      { pitch: "A4", duration: 0.5 },
      { pitch: "G4", duration: 0.5 },
      { pitch: "F4", duration: 0.5 },
      { pitch: "E4", duration: 0.5 },
      { pitch: "D4", duration: 0.5 },
      { pitch: "C4", duration: 0.5 },
    ],
    expected: {
      fingers: [4, 3, 2, 1, 4, 3, 2, 1, 2, 3, 4, 1, 2, 3, 4],
      brackets: [
        [0, 3],
        [4, 7],
        [7, 10],
        [11, 14],
      ],
      joins: ["cross", "overlap", "cross"],
    },
    alternatives: [],
    why: "Octave up and down: thumb on the top note; while the thumb holds C5 the fingers 2 3 4 place B A G (overlapping bracket).",
  },
  {
    id: "S08",
    category: "scale",
    hand: "right",
    tempo: 100,
    notes: [
      { pitch: "C4", duration: 0.5 },
      { pitch: "D4", duration: 0.5 },
      { pitch: "E4", duration: 0.5 },
      { pitch: "F4", duration: 0.5 },
      { pitch: "G4", duration: 0.5 },
    ],
    expected: {
      fingers: [2, 1, 3, 2, 1],
      brackets: [
        [0, 1],
        [2, 4],
      ],
      joins: ["cross"],
    },
    alternatives: [
      {
        fingers: [3, 2, 1, 2, 1],
        brackets: [
          [0, 2],
          [3, 4],
        ],
        joins: ["cross"],
        note: "cross with 2",
      },
      {
        fingers: [1, 4, 3, 2, 1],
        brackets: [
          [0, 0],
          [1, 4],
        ],
        joins: ["cross"],
        note: "thumb first, then 4 under",
      },
      {
        fingers: [4, 4, 3, 2, 1],
        brackets: [[0, 4]],
        joins: [],
        note: "fourth finger slides up to its neighbour (only if the edition uses slides)",
      },
    ],
    why: "Five notes up need one crossing; crossing with 3 is easier than with 4.",
  },
  {
    id: "S09",
    category: "scale",
    hand: "right",
    tempo: 100,
    notes: [
      { pitch: "C4", duration: 0.5 },
      { pitch: "D4", duration: 0.5 },
      { pitch: "E4", duration: 0.5 },
      { pitch: "F4", duration: 0.5 },
      { pitch: "G4", duration: 0.5 },
      { pitch: "A4", duration: 0.5 },
    ],
    expected: {
      fingers: [3, 2, 1, 3, 2, 1],
      brackets: [
        [0, 2],
        [3, 5],
      ],
      joins: ["cross"],
    },
    alternatives: [
      {
        fingers: [4, 3, 2, 1, 2, 1],
        brackets: [
          [0, 3],
          [4, 5],
        ],
        joins: ["cross"],
        note: "4+2",
      },
      {
        fingers: [2, 1, 4, 3, 2, 1],
        brackets: [
          [0, 1],
          [2, 5],
        ],
        joins: ["cross"],
        note: "2+4",
      },
    ],
    why: "Six notes: two threes, one crossing with the 3rd finger.",
  },
  {
    id: "S15",
    category: "scale",
    hand: "right",
    tempo: 96,
    notes: [
      { pitch: "D4", duration: 0.5 },
      { pitch: "E4", duration: 0.5 },
      { pitch: "F#4", duration: 0.5 },
      { pitch: "G4", duration: 0.5 },
      { pitch: "F#4", duration: 0.5 },
      { pitch: "E4", duration: 0.5 },
      { pitch: "D4", duration: 0.5 },
    ],
    expected: {
      fingers: [4, 3, 2, 1, 2, 3, 4],
      brackets: [
        [0, 3],
        [3, 6],
      ],
      joins: ["overlap"],
    },
    alternatives: [],
    why: "Accidentals do not change the strings: F sharp is the F string. Four up, thumb on top, four down from the same thumb.",
  },
  {
    id: "T01",
    category: "turnaround",
    hand: "right",
    tempo: 100,
    notes: [
      { pitch: "F4", duration: 0.5 },
      { pitch: "A4", duration: 0.5 },
      { pitch: "G4", duration: 0.5 },
    ],
    expected: {
      fingers: [2, 1, 2],
      brackets: [
        [0, 1],
        [1, 2],
      ],
      joins: ["overlap"],
    },
    alternatives: [],
    why: "Third up, step down: F-A with 2 1; while the thumb holds A the 2 moves to G. Not 3 1 2.",
  },
  {
    id: "T02",
    category: "turnaround",
    hand: "right",
    tempo: 100,
    notes: [
      { pitch: "E4", duration: 0.5 },
      { pitch: "C4", duration: 0.5 },
      { pitch: "D4", duration: 0.5 },
    ],
    expected: {
      fingers: [1, 2, 1],
      brackets: [
        [0, 1],
        [1, 2],
      ],
      joins: ["overlap"],
    },
    alternatives: [],
    why: "Down then up: start and end on the thumb; 1 2 1, not 1 3 2.",
  },
  {
    id: "T04",
    category: "turnaround",
    hand: "right",
    tempo: 100,
    notes: [
      { pitch: "E4", duration: 0.5 },
      { pitch: "D4", duration: 0.5 },
      { pitch: "C4", duration: 0.5 },
      { pitch: "D4", duration: 0.5 },
      { pitch: "E4", duration: 0.5 },
    ],
    expected: {
      fingers: [1, 2, 3, 2, 1],
      brackets: [
        [0, 2],
        [2, 4],
      ],
      joins: ["overlap"],
    },
    alternatives: [],
    why: "Three down, three up: bottom note is shared, thumb at both ends.",
  },
  {
    id: "T06",
    category: "turnaround",
    hand: "right",
    tempo: 100,
    notes: [
      { pitch: "C4", duration: 0.5 },
      { pitch: "E4", duration: 0.5 },
      { pitch: "D4", duration: 0.5 },
      { pitch: "F4", duration: 0.5 },
      { pitch: "E4", duration: 0.5 },
      { pitch: "G4", duration: 0.5 },
    ],
    expected: {
      fingers: [2, 1, 2, 1, 2, 1],
      brackets: [
        [0, 1],
        [1, 2],
        [2, 3],
        [3, 4],
        [4, 5],
      ],
      joins: ["overlap", "overlap", "overlap", "overlap"],
    },
    alternatives: [],
    why: "Rising broken thirds: a chain of two-note overlapping brackets; every top note is thumb.",
  },
  {
    id: "A02",
    category: "arpeggio",
    hand: "right",
    tempo: 100,
    notes: [
      { pitch: "C4", duration: 0.5 },
      { pitch: "E4", duration: 0.5 },
      { pitch: "G4", duration: 0.5 },
      { pitch: "C5", duration: 0.5 },
      { pitch: "G4", duration: 0.5 },
      { pitch: "E4", duration: 0.5 },
      { pitch: "C4", duration: 0.5 },
    ],
    expected: {
      fingers: [4, 3, 2, 1, 2, 3, 4],
      brackets: [
        [0, 3],
        [3, 6],
      ],
      joins: ["overlap"],
    },
    alternatives: [],
    why: "Rolling arpeggio: thumb on the top note is the pivot.",
  },
  {
    id: "A05",
    category: "arpeggio",
    hand: "left",
    tempo: 92,
    notes: [
      { pitch: "C3", duration: 0.5 },
      { pitch: "G3", duration: 0.5 },
      { pitch: "E4", duration: 0.5 },
    ],
    expected: { fingers: [4, 2, 1], brackets: [[0, 2]], joins: [] },
    alternatives: [],
    why: "Open tenth (root, fifth, tenth): 4 2 1.",
  },
  {
    id: "A06",
    category: "arpeggio",
    hand: "left",
    tempo: 92,
    notes: [
      { pitch: "C3", duration: 0.5 },
      { pitch: "G3", duration: 0.5 },
      { pitch: "C4", duration: 0.5 },
      { pitch: "G3", duration: 0.5 },
      { pitch: "C3", duration: 0.5 },
      { pitch: "G3", duration: 0.5 },
      { pitch: "C4", duration: 0.5 },
      { pitch: "G3", duration: 0.5 },
    ],
    expected: {
      fingers: [4, 2, 1, 2, 4, 2, 1, 2],
      brackets: [
        [0, 2],
        [2, 4],
        [4, 6],
        [6, 7],
      ],
      joins: ["overlap", "overlap", "overlap"],
    },
    alternatives: [],
    why: "Root-fifth-octave ostinato: outer fingers 4 and 1, 2 in the middle; every turning note is shared.",
  },
  {
    id: "A07",
    category: "arpeggio",
    hand: "left",
    tempo: 100,
    notes: [
      { pitch: "C3", duration: 0.5 },
      { pitch: "G3", duration: 0.5 },
      { pitch: "E3", duration: 0.5 },
      { pitch: "G3", duration: 0.5 },
      { pitch: "C3", duration: 0.5 },
      { pitch: "G3", duration: 0.5 },
      { pitch: "E3", duration: 0.5 },
      { pitch: "G3", duration: 0.5 },
    ],
    expected: {
      fingers: [3, 1, 2, 1, 3, 1, 2, 1],
      brackets: [
        [0, 1],
        [1, 2],
        [2, 3],
        [3, 4],
        [4, 5],
        [5, 6],
        [6, 7],
      ],
      joins: ["overlap", "overlap", "overlap", "overlap", "overlap", "overlap"],
    },
    alternatives: [],
    why: "Alberti-like figure: fifth = 1 and 3, third = 1 and 2. Strict one-direction brackets give a chain of overlapping pairs.",
    bracketNote:
      "Many editions show one bracket over C-G-E (all three placed at once) and re-place only the thumb; fingers are the same. Checkers should accept it as an exception to the one-direction rule.",
  },
  {
    id: "A10",
    category: "arpeggio",
    hand: "right",
    tempo: 92,
    notes: [
      { pitch: "C4", duration: 0.5 },
      { pitch: "E4", duration: 0.5 },
      { pitch: "G4", duration: 0.5 },
      { pitch: "E4", duration: 0.5 },
      { pitch: "D4", duration: 0.5 },
      { pitch: "F4", duration: 0.5 },
      { pitch: "A4", duration: 0.5 },
      { pitch: "F4", duration: 0.5 },
      { pitch: "E4", duration: 0.5 },
      { pitch: "G4", duration: 0.5 },
      { pitch: "B4", duration: 0.5 },
      { pitch: "G4", duration: 0.5 },
    ],
    expected: {
      fingers: [3, 2, 1, 2, 3, 2, 1, 2, 3, 2, 1, 2],
      brackets: [
        [0, 2],
        [2, 4],
        [4, 6],
        [6, 8],
        [8, 10],
        [10, 11],
      ],
      joins: ["overlap", "overlap", "overlap", "overlap", "overlap"],
    },
    alternatives: [],
    why: "Transposed sequence: each bar has the same pattern in string space, so the same fingers 3 2 1 2; the low note of each bar is the shared pivot of a descending and a rising group.",
    repeatGroups: [
      [0, 3],
      [4, 7],
      [8, 11],
    ],
  },
  {
    id: "I03",
    category: "interval",
    hand: "right",
    tempo: 80,
    notes: [
      { pitch: "C4", duration: 2 },
      { pitch: "G4", duration: 2, chord: true },
    ],
    expected: { fingers: [3, 1], brackets: [[0, 1]], joins: [] },
    alternatives: [
      { fingers: [2, 1], brackets: [[0, 1]], joins: [], note: "some schools keep 1 and 2 for fifths" },
    ],
    why: "Fifth or sixth: 1 and 3.",
  },
  {
    id: "I05",
    category: "interval",
    hand: "left",
    tempo: 80,
    notes: [
      { pitch: "C3", duration: 2 },
      { pitch: "C4", duration: 2, chord: true },
    ],
    expected: { fingers: [4, 1], brackets: [[0, 1]], joins: [] },
    alternatives: [
      { fingers: [3, 1], brackets: [[0, 1]], joins: [], note: "beginners without the 4th finger" },
    ],
    why: "Seventh and wider: 1 and 4.",
  },
  {
    id: "K02",
    category: "chord",
    hand: "right",
    tempo: 80,
    notes: [
      { pitch: "G4", duration: 2 },
      { pitch: "C5", duration: 2, chord: true },
      { pitch: "E5", duration: 2, chord: true },
    ],
    expected: { fingers: [3, 2, 1], brackets: [[0, 2]], joins: [] },
    alternatives: [
      {
        fingers: [4, 2, 1],
        brackets: [[0, 2]],
        joins: [],
        note: "used by some hands because of the fourth at the bottom",
      },
    ],
    why: "Close triad, second inversion: still 3 2 1.",
  },
  {
    id: "K08",
    category: "chord",
    hand: "left",
    tempo: 72,
    notes: [
      { pitch: "C3", duration: 2 },
      { pitch: "G3", duration: 2, chord: true },
      { pitch: "E4", duration: 2, chord: true },
    ],
    expected: { fingers: [4, 2, 1], brackets: [[0, 2]], joins: [] },
    alternatives: [{ fingers: [4, 3, 1], brackets: [[0, 2]], joins: [], note: "large hands" }],
    why: "Open triad spanning a tenth: 4 2 1.",
  },
  {
    id: "M01",
    category: "melody",
    hand: "right",
    tempo: 90,
    notes: [
      { pitch: "C4", duration: 1 },
      { pitch: "D4", duration: 1 },
      { pitch: "E4", duration: 1 },
      { pitch: "G4", duration: 2 },
      { pitch: "A4", duration: 1 },
      { pitch: "G4", duration: 1 },
      { pitch: "E4", duration: 1 },
      { pitch: "D4", duration: 2 },
    ],
    expected: {
      fingers: [4, 3, 2, 1, 1, 2, 3, 4],
      brackets: [
        [0, 3],
        [4, 7],
      ],
      joins: ["separate"],
    },
    alternatives: [],
    why: "Long note at the end of the first group: come off, then place the next four from the thumb.",
  },
  {
    id: "M02",
    category: "melody",
    hand: "right",
    tempo: 100,
    notes: [
      { pitch: "C4", duration: 0.5 },
      { pitch: "D4", duration: 0.5 },
      { pitch: "E4", duration: 0.5 },
      { pitch: "G4", duration: 0.5 },
      { pitch: "A4", duration: 0.5 },
      { pitch: "B4", duration: 0.5 },
    ],
    expected: {
      fingers: [4, 3, 2, 1, 2, 1],
      brackets: [
        [0, 3],
        [4, 5],
      ],
      joins: ["cross"],
    },
    alternatives: [
      {
        fingers: [2, 1, 4, 3, 2, 1],
        brackets: [
          [0, 1],
          [2, 5],
        ],
        joins: ["cross"],
        note: "cross D to E with 4",
      },
    ],
    why: "Choose the crossing where the strings are neighbours (G to A), not over the skip E to G.",
  },
  {
    id: "M03",
    category: "melody",
    hand: "right",
    tempo: 72,
    notes: [
      { pitch: "C4", duration: 0.5 },
      { pitch: "E4", duration: 2 },
      { pitch: "D4", duration: 0.5 },
      { pitch: "C4", duration: 2 },
    ],
    expected: {
      fingers: [2, 1, 1, 2],
      brackets: [
        [0, 1],
        [2, 3],
      ],
      joins: ["separate"],
    },
    alternatives: [],
    why: "Slow tempo: E lasts about 1.7 s, so come off and start the next group with the thumb.",
  },
  {
    id: "M05",
    category: "melody",
    hand: "right",
    tempo: 60,
    notes: [{ pitch: "G4", duration: 4 }],
    expected: { fingers: [2], brackets: [[0, 0]], joins: [] },
    alternatives: [
      { fingers: [1], brackets: [[0, 0]], joins: [], note: "thumb if the note should sing out as melody" },
    ],
    why: "A single unconnected note: 2nd finger.",
  },
  {
    id: "O01",
    category: "ornament",
    hand: "right",
    tempo: 80,
    notes: [
      { pitch: "D5", duration: 0, grace: true },
      { pitch: "C5", duration: 1 },
    ],
    expected: { fingers: [1, 2], brackets: [[0, 1]], joins: [] },
    alternatives: [],
    why: "Grace note from above: placed together with its main note, 1 2.",
  },
  {
    id: "W01",
    category: "accompaniment",
    hand: "left",
    tempo: 120,
    notes: [
      { pitch: "C3", duration: 1 },
      { pitch: "E3", duration: 1 },
      { pitch: "G3", duration: 1, chord: true },
      { pitch: "E3", duration: 1 },
      { pitch: "G3", duration: 1, chord: true },
    ],
    expected: {
      fingers: [3, 2, 1, 2, 1],
      brackets: [
        [0, 2],
        [3, 4],
      ],
      joins: ["separate"],
    },
    alternatives: [
      {
        fingers: [4, 2, 1, 2, 1],
        brackets: [
          [0, 2],
          [3, 4],
        ],
        joins: ["separate"],
        note: "4 on the bass, e.g. because later bars reach lower",
      },
    ],
    why: "Waltz bass within a close triad: bass and first chord are one placing (bass 3, chord 2 1); the chord is then re-placed.",
  },
];
