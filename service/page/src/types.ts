/** What the service answers; the names are those of its OpenAPI description. */

export type Outcome = "unsuitable" | "undecided" | "conditional" | "suitable";

export interface Span {
  line: number;
  start: number;
  end: number;
  text: string;
}

export type Point = [number, number];

/** Corners in pixels of the upright photo, clockwise from the top left of the text. */
export type Quad = [Point, Point, Point, Point];

export interface Line {
  text: string;
  confidence: number;
  quad?: Quad;
  /** Places where characters may stand that cannot be seen. */
  hidden?: { quad: Quad }[];
}

export interface Piece {
  text: string;
  meaning: string;
}

export interface Field {
  confidence: number;
  also?: { value: string; probability: number }[];
  spans?: Span[];
}

export interface Marking {
  text: string;
  canonical?: string;
  read_as?: string;
  pieces?: Piece[];
  repairs?: { repair: string; from: string; to: string }[];
  zones: string[];
  confidence: number;
  fields?: Record<string, Field>;
  spans?: Span[];
}

export interface Ground {
  rule: string;
  outcome: Outcome;
  detail: string;
  source: string;
  next?: string;
  spans?: Span[];
}

export interface Deciding {
  line: number;
  start: number;
  end: number;
  text: string;
  readings: { text: string; probability: number; outcome: Outcome }[];
}

export interface Verdict {
  outcome: Outcome;
  probability: number;
  grounds: Ground[];
  decided_by?: Deciding[];
  notes?: string[];
  place: Place;
}

/** A place; every key may be left out. */
export interface Place {
  zone?: string;
  epl?: string;
  gas?: string | string[];
  gas_group?: string;
  ignition_c?: number | string;
  t_class?: string;
  dust?: string | string[];
  dust_group?: string;
  cloud_ignition_c?: number | string;
  layer_ignition_c?: number | string;
  layer_mm?: number | string;
  max_surface_c?: number | string;
  ambient_c?: [number, number] | string;
  ip?: string;
}

export interface Certificate {
  number: string;
  scheme: string;
  suffix: string;
}

/** One plate: what is read on it, and what follows. */
export interface PlateAnswer {
  lines: Line[];
  markings: Marking[];
  certificates?: Certificate[];
  notified_body?: string;
  ambient_c?: [number, number];
  ambient_marked?: boolean;
  ip?: string;
  is_parameters?: Record<string, number>;
  maker?: string;
  type?: string;
  serial?: string;
  year?: number;
  ratings?: string[];
  warnings?: string[];
  unread?: Span[];
  suspicions?: { check: string; severity: string; detail: string; source: string; spans?: Span[] }[];
  verdict?: Verdict;
  review: { needed: boolean; reasons: string[]; looks?: Look[] };
}

/** A place at which a person should look. */
export interface Look {
  /** Index into the reasons. */
  reason: number;
  span: Span;
  quad?: Quad;
}

/** A matrix code of the photo. */
export interface Code {
  text: string;
  kind: "qr" | "data_matrix";
  quad?: Quad;
}

export interface Reading extends PlateAnswer {
  photo?: { width: number; height: number; taken_at?: string; notes?: string[] };
  /** Each plate, where several are on the photo. */
  plates?: PlateAnswer[];
  codes?: Code[];
  cautions: string[];
}

/** RFC 9457. */
export interface Problem {
  type: string;
  title: string;
  status: number;
  detail?: string;
}
