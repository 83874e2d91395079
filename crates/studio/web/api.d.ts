// The shapes that the server and the page send each other, one to one with the Rust structs they come from
// (crates/studio/src/view.rs, edit.rs and the server). Lengths that are read are text; geometry is in millimetres.

export type Xy = [number, number];
/** Two ends of a line on the canvas, in mm. */
export type LineMm = [number, number, number, number];
/** Left, top, width and height, in mm. */
export type RectMm = [number, number, number, number];
export type Unit = 'inch' | 'centimetre' | 'millimetre';
export type Side = 'top' | 'right' | 'bottom' | 'left';
export type SquaresFrom = 'top-left' | 'top-right' | 'bottom-left' | 'bottom-right' | 'centre';
export type Guide = 'centre-lines' | 'thirds' | 'diagonals' | 'rabatment' | 'golden-section';
export type StepKey = 'reference' | 'canvas' | 'placing' | 'grid' | 'mark-up' | 'print';
/** The six numbers of an SVG matrix, from the picture's pixels to the canvas's mm. */
export type Matrix = [number, number, number, number, number, number];

export interface NotebookLine {
  key: StepKey;
  title: string;
  sentence: string;
  state: 'done' | 'needed' | 'look';
}

export interface MarkView {
  at: Xy;
  from_start: string;
  from_end: string;
}

export interface SideView {
  side: Side;
  total: string;
  marks: MarkView[];
}

export interface CanvasView {
  outline: [Xy, Xy, Xy, Xy];
  size: string;
  size_other_unit: string;
  standard: string | null;
  measured: [string, string, string, string, string, string] | null;
  implies: string[];
  contradiction: string | null;
  sides: SideView[];
  diagonals: [string, string];
}

export interface HeadView {
  crown: Xy;
  chin: Xy;
  height: string;
  spaces: [string, string, string, string];
  larger_than_life: string | null;
}

export interface ReferenceView {
  size: Xy;
  photo: Xy;
  square_up: [Xy, Xy, Xy, Xy] | null;
  matrix: Matrix;
  turn: number;
  mirror: boolean;
  place: 'fit' | 'fill' | 'head' | 'at';
  resolution: string;
  coarse: string | null;
  open_share: number;
  head: HeadView | null;
  spaces: [string, string, string, string];
}

export interface GridView {
  parts: [number, number] | null;
  square: string | null;
  from: SquaresFrom | null;
  diagonals: boolean;
  lines: LineMm[];
}

export interface DetailView {
  name: string;
  rect: RectMm;
  left: string;
  top: string;
  size: string;
  grid: GridView;
}

export interface GuideView {
  guide: Guide;
  name: string;
  lines: LineMm[];
}

export interface SheetPlanView {
  paper: string;
  margin: string;
  lap: string;
  lines: boolean;
  count: number;
  windows: [string, RectMm][];
  upright_seams: number[];
  level_seams: number[];
  clearance: string | null;
  seam_through_head: boolean;
  problem: string | null;
}

export interface View {
  notebook: NotebookLine[];
  unit: Unit;
  ruler: string;
  canvas: CanvasView;
  reference: ReferenceView | null;
  grid: GridView;
  details: DetailView[];
  guides: GuideView[];
  sheets: SheetPlanView | null;
}

export interface PhotoFacts {
  format: string;
  pixels: string;
  colour: string;
  colour_note: string | null;
  taken: string | null;
  lens: string | null;
  picture: string;
  original: string;
}

export interface State {
  id: string;
  title: string;
  revision: number;
  undo: string | null;
  redo: string | null;
  photo: PhotoFacts | null;
  view: View;
}

export type CanvasEdit =
  | { do: 'unit'; unit: Unit }
  | { do: 'ruler'; ruler: string }
  | { do: 'size'; size: string }
  | { do: 'standard'; name: string }
  | { do: 'turn' }
  | { do: 'measure'; top: string; right: string; bottom: string; left: string; down: string; up: string }
  | { do: 'forget' };

export type ReferenceEdit =
  | { do: 'square-up'; corners: Xy[]; print_size: string | null }
  | { do: 'forget-square-up' }
  | { do: 'turn'; degrees: number }
  | { do: 'quarter-turn'; clockwise: boolean }
  | { do: 'straighten'; from: Xy; to: Xy; level: boolean }
  | { do: 'mirror'; mirror: boolean }
  | { do: 'fit' }
  | { do: 'fill' }
  | { do: 'mark-head'; crown: Xy; chin: Xy }
  | { do: 'forget-head' }
  | { do: 'head-height'; height: string }
  | { do: 'space'; side: Side; space: string }
  | { do: 'move'; right: number; down: number }
  | { do: 'scale'; factor: number; about: Xy };

export type GridEdit =
  | { do: 'parts'; columns: number; rows: number }
  | { do: 'squares'; side: string; from: SquaresFrom }
  | { do: 'diagonals'; diagonals: boolean };

export type DetailEdit =
  | { do: 'add'; corner: Xy; size: Xy }
  | { do: 'name'; at: number; name: string }
  | { do: 'drag'; at: number; corner: Xy; size: Xy }
  | { do: 'place'; at: number; left: string; top: string; size: string }
  | { do: 'divide'; at: number; columns: number; rows: number; diagonals: boolean }
  | { do: 'remove'; at: number };

export type PrintEdit =
  | { do: 'paper'; paper: string }
  | { do: 'margin'; margin: string }
  | { do: 'lap'; lap: string }
  | { do: 'lines'; lines: boolean };

export type Edit =
  | { canvas: CanvasEdit }
  | { reference: ReferenceEdit }
  | { grid: GridEdit }
  | { detail: DetailEdit }
  | { print: PrintEdit };

export interface ShelfPainting {
  id: string;
  title: string;
  changed: string;
  /** Not known of a file that cannot be opened. */
  width_mm?: number;
  height_mm?: number;
  picture: string | null;
  trouble: string | null;
}

export interface Shelf {
  paintings: ShelfPainting[];
  folder: string;
}

export interface Sheet {
  kind: string;
  label: string;
  width_mm: number;
  height_mm: number;
  picture: string;
}

export interface Printer {
  name: string;
  across: string;
  along: string;
}

export interface StandardSize {
  name: string;
  width: string;
  height: string;
}

/** What the server says when something cannot be. */
export interface Trouble {
  message: string;
  field?: string | null;
  state?: State;
}
