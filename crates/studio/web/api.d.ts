// The shapes that the server and the page send each other. Made from the server's own description of itself by
// `npm run api -- --write` in tests/browser; not to be changed by hand.

export type paths = Record<string, never>;
export type webhooks = Record<string, never>;
export interface components {
    schemas: {
        /** @description What is measured to mark a detail box on the canvas. */
        BoxMarksView: {
            /** @description Its corners, clockwise from the top left. */
            corners: components["schemas"]["CornerView"][];
            /** @description Its diagonal as text; both are equal when it is true. */
            diagonal: string;
            /** @description The marks along its own top and left side. */
            inner: components["schemas"]["SideView"][];
        };
        /** @description The values of one grid box, on the Munsell scale. */
        BoxValuesView: {
            /** @description The box by its column's letter and its row's number. */
            name: string;
            /**
             * Format: double
             * @description Of the painting.
             */
            painting: number;
            /** @description Its bounds. */
            rect: components["schemas"]["RectMm"];
            /**
             * Format: double
             * @description Of the reference.
             */
            reference: number;
        };
        /** @description A change of the canvas. */
        CanvasEdit: {
            /** @enum {string} */
            do: "unit";
            /** @description The unit. */
            unit: components["schemas"]["Unit"];
        } | {
            /** @enum {string} */
            do: "ruler";
            /** @description The ruler: `1/16`, `mm`, … */
            ruler: string;
        } | {
            /** @enum {string} */
            do: "size";
            /** @description The height as typed, or both sides. */
            height: string;
            /** @description The width as typed, or both sides: `16 in`, `16 x 20 in`. */
            width: string;
        } | {
            /** @enum {string} */
            do: "standard";
            /** @description The size's name, as in the list of standard sizes. */
            name: string;
        } | {
            /** @enum {string} */
            do: "turn";
        } | {
            /** @description The bottom side. */
            bottom: string;
            /** @enum {string} */
            do: "measure";
            /** @description The diagonal down from the top left corner. */
            down: string;
            /** @description The left side. */
            left: string;
            /** @description The right side. */
            right: string;
            /** @description The top side. */
            top: string;
            /** @description The diagonal up from the bottom left corner. */
            up: string;
        } | {
            /** @enum {string} */
            do: "forget";
        };
        /** @description A photo of the canvas that was brought in, and where the canvas may lie in it. */
        CanvasPhotoView: {
            /**
             * @description Where the canvas may lie, the likeliest first; none where its edges cannot be followed. Corners from the top left
             *     clockwise, in pixels.
             */
            outlines: components["schemas"]["Xy"][][];
            /** @description Its name, to be given with its outline. */
            photo: string;
            /** @description Where its picture is to be had. */
            picture: string;
            /** @description What to do where none was found. */
            remark: string | null;
            /** @description Width and height in pixels of the upright photo. */
            size: [
                number,
                number
            ];
        };
        /** @description How large a canvas is. */
        CanvasSize: {
            /** Format: double */
            height_mm: number;
            /** Format: double */
            width_mm: number;
        };
        /** @description The canvas and everything to mark on it. */
        CanvasView: {
            /** @description Set when the measurements contradict each other. */
            contradiction: string | null;
            /** @description The diagonals as text: down from the top left, up from the bottom left. */
            diagonals: [
                string,
                string
            ];
            /** @description What the measurements imply, in sentences. */
            implies: string[];
            /** @description How many marks there are to make, with those of the detail boxes. */
            mark_count: number;
            /** @description The six measurements as text, if there are any: top, right, bottom, left, down, up. */
            measured: [
                string,
                string,
                string,
                string,
                string,
                string
            ] | null;
            /** @description The corners in mm: top left, top right, bottom right, bottom left. */
            outline: [
                components["schemas"]["Xy"],
                components["schemas"]["Xy"],
                components["schemas"]["Xy"],
                components["schemas"]["Xy"]
            ];
            /** @description The four sides with their marks, clockwise from the top. */
            sides: components["schemas"]["SideView"][];
            /** @description Nominal width and height as text: `12 x 16 in`. */
            size: string;
            /** @description About the same in the other unit, as far as a ruler shows it. */
            size_other_unit: string;
            /** @description The standard size it is, if it is one. */
            standard: string | null;
        };
        /** @description A change of the plan. */
        Change: {
            /** @description What is to be changed. */
            edit: components["schemas"]["Edit"];
            /** @description Names the movement of the hand that it is part of: changes of one movement are undone together. */
            gesture?: string | null;
            /**
             * Format: int64
             * @description The revision it starts from.
             */
            revision: number;
        };
        /** @description The event `changed`. */
        Changed: {
            /**
             * Format: int64
             * @description The revision that the painting has now.
             */
            revision: number;
        };
        /** @description What of a check is to be changed. It is one landmark at a time, so that two windows on one check do not undo each other's. */
        CheckChange: {
            painted?: components["schemas"]["PaintedWish"] | null;
            /** @description What is let pass, as typed. */
            tolerance?: string | null;
        };
        /** @description A check in the list of checks. */
        CheckLine: {
            /** @description When it was made (RFC 3339). */
            made: string;
            /**
             * Format: int64
             * @description By which it is asked for.
             */
            number: number;
            /** @description The same as text. */
            off: string | null;
            /**
             * Format: double
             * @description How far the painted landmarks lie from their places, root mean square in mm.
             */
            off_mm: number | null;
            /** @description How it came out. */
            sentence: string;
            /** @description The size of the whole against the plan, as text. */
            size: string | null;
        };
        /** @description One check, whole. */
        CheckView: {
            /** @description What that picture shows: left, top, width and height in mm of the canvas. */
            bounds: components["schemas"]["RectMm"];
            /** @description The corners in the photo, in pixels, from the top left clockwise. */
            corners: [
                components["schemas"]["Xy"],
                components["schemas"]["Xy"],
                components["schemas"]["Xy"],
                components["schemas"]["Xy"]
            ];
            /** @description Where the picture of the difference of values is to be had, if there is a reference. */
            difference: string | null;
            /** @description That the outline may be wrong, where the canvas looks to be of another shape. */
            doubt: string | null;
            drift: components["schemas"]["DriftView"] | null;
            /**
             * Format: double
             * @description How many times larger than life the lines' errors are drawn.
             */
            enlarged: number;
            /** @description That most lines were not seen, and what to do, if so: to be read before what is said of single lines. */
            few_seen: string | null;
            /** @description The plan's landmarks. */
            landmarks: components["schemas"]["LandmarkCheckView"][];
            /** @description The planned lines, the worst first. */
            lines: components["schemas"]["LineView"][];
            /** @description When it was made (RFC 3339). */
            made: string;
            /** @description The middles of the edges in the photo, where they were clicked. */
            middles: [
                components["schemas"]["Xy"],
                components["schemas"]["Xy"],
                components["schemas"]["Xy"],
                components["schemas"]["Xy"]
            ] | null;
            /**
             * Format: int64
             * @description By which it is asked for.
             */
            number: number;
            /** @description The photo's name. */
            photo: string;
            /** @description Where the photo's picture is to be had. */
            photo_picture: string;
            /** @description Width and height in pixels of the upright photo. */
            photo_size: [
                number,
                number
            ];
            /** @description Where the squared-up picture is to be had: the canvas alone, straight on. */
            picture: string;
            /** @description That the plan was changed since, if it was; among the warnings too. */
            plan_changed: string | null;
            /** @description Proportions of both. */
            proportions: components["schemas"]["ProportionCheckView"][];
            /** @description How it came out. */
            sentence: string;
            /** @description What is told of the canvas's own shape. */
            shape: string;
            /** @description What is let pass, as text. */
            tolerance: string;
            /** @description Lines that nobody planned. */
            unplanned: components["schemas"]["LineMm"][];
            values: components["schemas"]["ValueCheckView"] | null;
            /** @description What to know about these numbers, and what one photo cannot tell. */
            warnings: string[];
        };
        /** @description An outline that the painter confirmed, to be measured. */
        CheckWish: {
            /** @description Whether the corners are as they were proposed. */
            as_proposed: boolean;
            /** @description The corners in pixels of the photo, from the top left clockwise. */
            corners: components["schemas"]["Xy"][];
            /** @description The middles of the top, right, bottom and left edges, where the edges cannot be followed. */
            middles?: components["schemas"]["Xy"][] | null;
            /**
             * Format: int64
             * @description The check to measure anew, if it is not a new one.
             */
            number?: number | null;
            /** @description The phone it was taken with, if its lens was measured. */
            phone?: string | null;
            /** @description The photo's name, for a new check. */
            photo: string;
            /** @description What is let pass, as typed. */
            tolerance?: string | null;
        };
        /** @description The checks that were kept. */
        ChecksView: {
            /** @description The oldest first. */
            checks: components["schemas"]["CheckLine"][];
        };
        /** @description What was chosen for one painting. */
        Chosen: {
            /**
             * @description The kinds of sheet that are printed; `None` until the painter chooses.
             * @default null
             */
            kinds: string[] | null;
            /**
             * @description The printer's name; blank for one that prints true.
             * @default
             */
            printer: string;
            /**
             * @description The marks ticked off, as the page names them: by side and reading.
             * @default []
             */
            ticked: string[];
        };
        /** @description What is chosen anew. */
        ChosenChange: {
            /** @description The kinds of sheet that are printed. */
            kinds: string[] | null;
            /** @description The printer's name; blank for one that prints true. */
            printer: string | null;
            /** @description Marks that are ticked off now. They join those that were ticked elsewhere meanwhile. */
            tick: string[] | null;
            /** @description Marks that are ticked off no longer. */
            untick: string[] | null;
        };
        /** @description A code as it was typed or brought along. */
        CodeTyped: {
            /** @description The code. */
            code: string;
        };
        /** @description For which painting a code is wanted. */
        CodeWanted: {
            /** @description The painting by its id. */
            painting: string;
        };
        /** @description A corner of a detail box, by its distances from the canvas's nearest sides. */
        CornerView: {
            /** @description From the nearer of the canvas's left and right. */
            across: components["schemas"]["DistanceView"];
            /** @description From the nearer of the canvas's top and bottom. */
            down: components["schemas"]["DistanceView"];
            /** @description Which corner: `top left`, … */
            name: string;
        };
        /** @description A change of the detail boxes; a box is told by its place in the list, from 0. */
        DetailEdit: {
            /** @description Its top left corner on the canvas, in mm. */
            corner: components["schemas"]["Xy"];
            /** @enum {string} */
            do: "add";
            /** @description Its width and height in mm. */
            size: components["schemas"]["Xy"];
        } | {
            /** @description Which box. */
            at: number;
            /** @enum {string} */
            do: "name";
            /** @description What is in it. */
            name: string;
        } | {
            /** @description Which box. */
            at: number;
            /** @description Its top left corner on the canvas, in mm. */
            corner: components["schemas"]["Xy"];
            /** @enum {string} */
            do: "drag";
            /** @description Its width and height in mm. */
            size: components["schemas"]["Xy"];
        } | {
            /** @description Which box. */
            at: number;
            /** @enum {string} */
            do: "place";
            /** @description The height as typed, or both sides. */
            height: string;
            /** @description From the canvas's left. */
            left: string;
            /** @description From the canvas's top. */
            top: string;
            /** @description The width as typed, or both sides: `8 in`, `8 x 8 in`. */
            width: string;
        } | {
            /** @description Which box. */
            at: number;
            /**
             * Format: int32
             * @description Its columns.
             */
            columns: number;
            /** @description Whether its diagonals are ruled. */
            diagonals: boolean;
            /** @enum {string} */
            do: "divide";
            /**
             * Format: int32
             * @description Its rows.
             */
            rows: number;
        } | {
            /** @description Which box. */
            at: number;
            /** @enum {string} */
            do: "remove";
        };
        /** @description Where a landmark lies in a detail box. */
        DetailPlotView: {
            /** @description The box's name. */
            detail: string;
            /** @description Where in its grid. */
            plot: components["schemas"]["PlotView"];
        };
        /** @description A detail box. */
        DetailView: {
            /** @description Its grid. */
            grid: components["schemas"]["GridView"];
            /** @description From the canvas's left, as text. */
            left: string;
            /** @description What is measured to mark it on the canvas. */
            marks: components["schemas"]["BoxMarksView"];
            /** @description What is in it. */
            name: string;
            /** @description Whether it lies on the photo, and goes along when that is placed. */
            on_photo: boolean;
            /** @description What would go on one sheet, where it is a little too large for one. */
            one_sheet: string | null;
            /** @description Left, top, width and height in mm. */
            rect: components["schemas"]["RectMm"];
            /** @description Width and height, as text. */
            size: string;
            /** @description From the canvas's top, as text. */
            top: string;
        };
        /** @description A distance from a side of the canvas. */
        DistanceView: {
            /** @description Which side. */
            from: components["schemas"]["Side"];
            /** @description How far, as text. */
            reading: string;
        };
        /** @description How proportional dividers are set. */
        Dividers: {
            /** @description Where the pivot sits, in a sentence; none where no length was given. */
            pivot: string | null;
            /** @description The picture's size to the canvas's, as painters write it. */
            ratio: string;
            /** @description The setting, in a sentence. */
            setting: string;
        };
        /** @description Done, with nothing to tell. */
        Done: Record<string, never>;
        /** @description Whether screens elsewhere in the house may come in. */
        DoorWanted: {
            /** @description True to open the door, false to shut it. */
            open: boolean;
        };
        /** @description Drift. */
        DriftView: {
            /** @description What is left of each landmark, the largest first. */
            own: components["schemas"]["OwnDriftView"][];
            /** @description What to know about the landmarks themselves: that they do not agree, which seem to be exchanged. */
            remarks: string[];
            /** @description The whole in a sentence. */
            sentence: string;
            /** @description The whole in numbers, each with its uncertainty. */
            whole: components["schemas"]["WholeDriftView"][];
        };
        /** @description One change of a plan, by the part of the plan it changes. */
        Edit: {
            /** @description A change of the canvas, or of the unit and ruler it is measured with. */
            canvas: components["schemas"]["CanvasEdit"];
        } | {
            /** @description A change of the reference or of how it lies on the canvas. */
            reference: components["schemas"]["ReferenceEdit"];
        } | {
            /** @description A change of the main grid. */
            grid: components["schemas"]["GridEdit"];
        } | {
            /** @description A change of the detail boxes. */
            detail: components["schemas"]["DetailEdit"];
        } | {
            /** @description A change of landmarks or measures. */
            likeness: components["schemas"]["LikenessEdit"];
        } | {
            /** @description A change of how the sheets are printed. */
            print: components["schemas"]["PrintEdit"];
        };
        /** @description Whether the photo holds enough light, and not too much. */
        ExposureSaid: {
            /** @description What the painter should know; nothing where the head, or the photo while none is marked, is well exposed. */
            says: string | null;
        };
        /** @description From which revision a change starts. */
        From: {
            /**
             * Format: int64
             * @description The revision it starts from.
             */
            revision: number;
        };
        /** @description A change of the main grid. */
        GridEdit: {
            /**
             * Format: int32
             * @description Columns.
             */
            columns: number;
            /** @enum {string} */
            do: "parts";
            /**
             * Format: int32
             * @description Rows.
             */
            rows: number;
        } | {
            /** @enum {string} */
            do: "squares";
            /** @description Where they are counted from. */
            from: components["schemas"]["SquaresFrom"];
            /** @description The side of a square, as typed. */
            side: string;
        } | {
            /** @description Whether they are ruled. */
            diagonals: boolean;
            /** @enum {string} */
            do: "diagonals";
        };
        /** @description The main grid, or the grid of a detail box. */
        GridView: {
            /** @description Whether the diagonals are ruled. */
            diagonals: boolean;
            from: components["schemas"]["SquaresFrom"] | null;
            /** @description Its lines. */
            lines: components["schemas"]["LineMm"][];
            /** @description Columns and rows, if it divides in parts. */
            parts: [
                number,
                number
            ] | null;
            /** @description The side of a square as text, if it divides in squares. */
            square: string | null;
        };
        /**
         * @description A set of guide lines.
         * @enum {string}
         */
        Guide: "centre-lines" | "thirds" | "diagonals" | "rabatment" | "golden-section";
        /** @description A set of guide lines. */
        GuideView: {
            /** @description Which set, for the page to keep in mind. */
            guide: components["schemas"]["Guide"];
            /** @description Its lines. */
            lines: components["schemas"]["LineMm"][];
            /** @description Its name. */
            name: string;
        };
        /** @description The head on the canvas. */
        HeadView: {
            /** @description The chin in mm. */
            chin: components["schemas"]["Xy"];
            /** @description The crown in mm. */
            crown: components["schemas"]["Xy"];
            /** @description Its height as text. */
            height: string;
            /** @description Set when it is larger than life. */
            larger_than_life: string | null;
            /** @description Set when most or all of it lies off the canvas. */
            off_canvas: string | null;
            /** @description Spaces as text: crown to the top, middle to the right, chin to the bottom, middle to the left. */
            spaces: [
                string,
                string,
                string,
                string
            ];
        };
        /** @description A landmark of the plan, and where it is painted. */
        LandmarkCheckView: {
            /** @description Its name. */
            name: string;
            painted: components["schemas"]["Xy"] | null;
            /** @description Where the plan has it, in mm. */
            planned: components["schemas"]["Xy"];
        };
        /** @description A landmark that is placed. */
        LandmarkView: {
            /** @description Where it is on the canvas. */
            at: components["schemas"]["Xy"];
            /** @description Where it lies in the grids of the detail boxes that hold it. */
            details: components["schemas"]["DetailPlotView"][];
            level: components["schemas"]["LineMm"] | null;
            /** @description Its name. */
            name: string;
            plot: components["schemas"]["PlotView"] | null;
            plumb: components["schemas"]["LineMm"] | null;
        };
        /** @description A photo of the lens card, to measure a phone's lens on. */
        LensWish: {
            /** @description The card's crosses 1 to 4 in the photo, in pixels. */
            corners: components["schemas"]["Xy"][];
            /** @description What the painter calls the phone. */
            phone: string;
            /** @description The photo's name, as it was given when it was brought in. */
            photo: string;
        };
        /** @description The phones whose lens was measured. */
        Lenses: {
            /** @description What the painter calls each phone. */
            phones: string[];
        };
        /** @description Where a screen goes that was let in. */
        LetIn: {
            /** @description The address of the easel page. */
            easel: string;
            /** @description The screen's number, by which the computer names it. */
            screen: number;
        };
        /** @description A change of landmarks or measures. Places are where they are seen on the canvas, in mm. */
        LikenessEdit: {
            /** @description Where it is. */
            at: components["schemas"]["Xy"];
            /** @enum {string} */
            do: "landmark";
            /** @description Its name: one of the sets', or one of the painter's own. */
            name: string;
        } | {
            /** @enum {string} */
            do: "forget-landmark";
            /** @description Its name. */
            name: string;
        } | {
            /** @enum {string} */
            do: "measure";
            /** @description One end. */
            from: components["schemas"]["Xy"];
            /** @description The landmark that the one end is on, if it is to follow one. */
            from_landmark?: string | null;
            /** @description What it is called. */
            name: string;
            /** @description The other end. */
            to: components["schemas"]["Xy"];
            /** @description The landmark that the other end is on. */
            to_landmark?: string | null;
        } | {
            /** @enum {string} */
            do: "rename-measure";
            /** @description Its name. */
            name: string;
            /** @description Its new name. */
            to: string;
        } | {
            /** @enum {string} */
            do: "forget-measure";
            /** @description Its name. */
            name: string;
        } | {
            /** @enum {string} */
            do: "unit-measure";
            /** @description Its name. */
            name?: string | null;
        } | {
            /** @enum {string} */
            do: "lens";
            /**
             * Format: double
             * @description The focal length in mm, as on 35 mm film.
             */
            focal_35mm?: number | null;
        };
        /** @description What is measured on the sitter. */
        LikenessView: {
            /** @description Names of the figure's landmarks. */
            figure: string[];
            /** @description Names of the head's landmarks. */
            head: string[];
            /** @description The landmarks that are placed. */
            landmarks: components["schemas"]["LandmarkView"][];
            /**
             * Format: double
             * @description The lens that the painter stated where the photo tells none: its focal length in mm, as on 35 mm film.
             */
            lens_35mm: number | null;
            /** @description The measures that were taken. */
            measures: components["schemas"]["MeasureView"][];
            /** @description Proportions that the landmarks tell. */
            proportions: components["schemas"]["ProportionView"][];
            /** @description Those that are not yet, with where proportion expects them; the next one first. */
            suggested: components["schemas"]["SuggestionView"][];
        };
        LineMm: [
            number,
            number,
            number,
            number
        ];
        /**
         * @description Whether a line's work is done.
         * @enum {string}
         */
        LineState: "done" | "needed" | "look";
        /**
         * @description The tone of the lines over the picture.
         * @enum {string}
         */
        LineTone: "both" | "light" | "dark";
        /** @description A planned line. */
        LineView: {
            enlarged: components["schemas"]["LineMm"] | null;
            /** @description What the painter calls it. */
            name: string;
            /** @description Where it is planned. */
            planned: components["schemas"]["LineMm"];
            seen: components["schemas"]["LineMm"] | null;
            /** @description What is to be thought of it. */
            verdict: components["schemas"]["VerdictView"];
            /** @description The same in words, with how far it is off. */
            words: string;
        };
        /** @description The painting that was made or put on the shelf. */
        Made: {
            /** @description By which the page asks for it. */
            id: string;
        };
        /** @description One mark. */
        MarkView: {
            /** @description Where it lies on the canvas in mm. */
            at: components["schemas"]["Xy"];
            /** @description From the right or bottom end, as text. */
            from_end: string;
            /** @description From the left or top end, as text. */
            from_start: string;
        };
        Matrix: [
            number,
            number,
            number,
            number,
            number,
            number
        ];
        /** @description A measure, as text. */
        MeasureView: {
            /** @description One end. */
            from: components["schemas"]["Xy"];
            /** @description The landmark that the one end is on and follows. */
            from_landmark: string | null;
            /**
             * Format: double
             * @description How many times the unit it is.
             */
            in_units: number | null;
            /** @description Whether it is the unit. */
            is_unit: boolean;
            /** @description How it leans. */
            lean: string;
            /** @description Its length on the canvas. */
            length: string;
            /**
             * Format: double
             * @description The same in millimetres.
             */
            length_mm: number;
            /** @description What it is called. */
            name: string;
            /** @description How far up or down. */
            rise: string;
            /** @description How far to the right or left the other end is. */
            run: string;
            /** @description The other end. */
            to: components["schemas"]["Xy"];
            /** @description The landmark that the other end is on and follows. */
            to_landmark: string | null;
        };
        /** @description A painting to be begun. */
        NewPainting: {
            paper?: components["schemas"]["Paper"] | null;
            /** @description The canvas's width and height as typed; if not said, a usual size in the unit. */
            size?: string | null;
            /** @description Its title, if it has one already. */
            title?: string | null;
            unit?: components["schemas"]["Unit"] | null;
        };
        /** @description One line of the notebook. */
        NotebookLine: {
            /** @description A short name for it, for addresses and styles. */
            key: components["schemas"]["StepKey"];
            /** @description How things stand. */
            sentence: string;
            /** @description Whether it is done. */
            state: components["schemas"]["LineState"];
            /** @description Its title. */
            title: string;
        };
        /** @description The notes of a painting as they are kept. */
        Notes: {
            /** @description Whether what was sent is what is kept. If not, another window had kept something else, and nothing was changed. */
            kept: boolean;
            /** @description All of them. */
            notes: string;
        };
        /** @description Notes to be kept in place of others. */
        NotesWish: {
            /** @description What they are now. */
            notes: string;
            /** @description Those that were changed: if other ones are kept by now, nothing is changed. */
            was: string;
        };
        /** @description What is left of one landmark's error. */
        OwnDriftView: {
            /** @description Its own error three times enlarged, from where it is painted. */
            arrow: components["schemas"]["LineMm"];
            /** @description Whether nothing else is told of it but that it is in its place. */
            in_place: boolean;
            /** @description The landmark. */
            name: string;
            /** @description Whether it was set aside when the whole was judged. */
            set_aside: boolean;
            /** @description Whether it is off by more than what is let pass and more than chance explains. */
            stands_out: boolean;
            /** @description In words: `1/8 in low, 1/16 in toward the nose, give or take 1/64 in (0.4 mm)`. */
            words: string;
        };
        /** @description Where a landmark is painted. */
        PaintedWish: {
            at?: components["schemas"]["Xy"] | null;
            by?: components["schemas"]["SetBy"] | null;
            /** @description The landmark's name. */
            name: string;
            /**
             * Format: double
             * @description How large a pixel of the screen is on which it was set, in mm of the canvas.
             */
            screen_px_mm?: number | null;
        };
        /** @description Everything the page shows of a painting. */
        PaintingState: {
            /** @description The name of its file, which stays when the title is changed. */
            file: string;
            /** @description By which the page asks for it. */
            id: string;
            photo: components["schemas"]["PhotoFacts"] | null;
            /** @description Why the photo cannot be shown, if there is one that cannot. */
            photo_trouble: string | null;
            /** @description What would be done again, in words. */
            redo: string | null;
            /**
             * Format: int64
             * @description Counts its changes: an edit says from which it starts.
             */
            revision: number;
            /** @description Its title; blank for one that has none yet. */
            title: string;
            /** @description What would be undone, in words. */
            undo: string | null;
            /** @description Everything that follows from its plan. */
            view: components["schemas"]["View"];
        };
        /** @description A code that lets one screen in, once. */
        PairingCode: {
            /** @description The code, to be typed. */
            code: string;
            /**
             * Format: int64
             * @description Its number; no other code has it.
             */
            number: number;
            /**
             * Format: int64
             * @description For how many seconds it holds.
             */
            seconds: number;
            /** @description Where the screen has to go: one way for each network that this computer is on. */
            ways: components["schemas"]["Way"][];
        };
        /**
         * @description A standard sheet of paper.
         * @enum {string}
         */
        Paper: "letter" | "legal" | "tabloid" | "a4" | "a3";
        /** @description What is known of a photo. */
        PhotoFacts: {
            /** @description How far the camera stood, or why that is not known, in sentences. */
            camera: string;
            /** @description Its colours. */
            colour: string;
            /** @description What the painter should know of them. */
            colour_note: string | null;
            /** @description Where the same is to be had finer, for the easel screen. */
            easel: string;
            /** @description The kind of file. */
            format: string;
            /** @description By which one photo is told from another. */
            id: string;
            /** @description The lens it was taken with. */
            lens: string | null;
            /** @description Where the photo before squaring up is to be had. */
            original: string;
            /** @description Where the picture on the canvas is to be had. */
            picture: string;
            /** @description Width and height of the upright photo. */
            pixels: string;
            /** @description When it was taken. */
            taken: string | null;
            /**
             * @description Where the picture on the canvas in another tone is to be had, once `&tone=` and the tone stand behind it: `grey`,
             *     `values:5`, `squint:4mm`.
             */
            toned: string;
            /** @description Whether it stood so near that near features are enlarged. */
            too_near: boolean;
        };
        /**
         * @description How a photo was placed.
         * @enum {string}
         */
        PlacedBy: "fit" | "fill" | "head" | "at";
        /** @description Where a landmark lies in a grid. */
        PlotView: {
            /** @description From the nearest upright line, in words. */
            across: string;
            /** @description From the nearest level line, in words. */
            down: string;
            /** @description The box: the column's letter and the row's number. */
            grid_box: string;
        };
        /** @description A change of how the sheets are printed. */
        PrintEdit: {
            /** @enum {string} */
            do: "paper";
            /** @description The paper. */
            paper: components["schemas"]["Paper"];
        } | {
            /** @enum {string} */
            do: "margin";
            /** @description The margin, as typed. */
            margin: string;
        } | {
            /** @enum {string} */
            do: "lap";
            /** @description The lap, as typed. */
            lap: string;
        } | {
            /** @description What they go by. */
            by: components["schemas"]["SeamRule"];
            /** @enum {string} */
            do: "seams";
        } | {
            /** @description Which of them, counted from 0 at the left or top. */
            at: number;
            /** @description Which way it runs. */
            direction: components["schemas"]["SeamDirection"];
            /** @enum {string} */
            do: "seam";
            /**
             * Format: double
             * @description Where to, in mm from the canvas's left or top. It goes as near as the paper allows.
             */
            to: number;
        } | {
            /** @enum {string} */
            do: "lines";
            /** @description Whether it is drawn. */
            lines: boolean;
        } | {
            /** @enum {string} */
            do: "line-look";
            /**
             * Format: double
             * @description Their width as a multiple of the finest, from 1 to 4.
             */
            strength: number;
            /** @description Their tone. */
            tone: components["schemas"]["LineTone"];
        };
        /** @description A printer, with the two 100 mm bars as they were measured on its prints. */
        Printer: {
            /** @description The bar across the paper held upright, as typed. */
            across: string;
            /** @description The bar along it, as typed. */
            along: string;
            /** @description What the painter calls it. */
            name: string;
        };
        /** @description The printers whose error the painter has measured. */
        Printers: {
            printers: components["schemas"]["Printer"][];
        };
        /** @description How the packet is printed. */
        PrintingView: {
            /** @description The lap as text. */
            lap: string;
            /**
             * Format: double
             * @description How strong its lines are drawn, on screens and sheets: a multiple of the finest.
             */
            line_strength: number;
            /** @description Their tone. */
            line_tone: components["schemas"]["LineTone"];
            /** @description Whether the grid is drawn over the photo. */
            lines: boolean;
            /** @description The margin as text. */
            margin: string;
            /** @description The paper. */
            paper: components["schemas"]["Paper"];
            /** @description What the seams go by. */
            seams: components["schemas"]["SeamsBy"];
        };
        /** @description A proportion of both. */
        ProportionCheckView: {
            /** @description Whether the two are told differently. */
            differs: boolean;
            /** @description The painting's. */
            painting: string;
            /** @description The reference's. */
            reference: string;
            /** @description What it is. */
            what: string;
        };
        /** @description A proportion of the sitter, for information. */
        ProportionView: {
            /** @description What schools teach. */
            canon: string | null;
            /** @description What was measured on people. */
            measured: string[];
            /** @description What to know about it. */
            note: string;
            /** @description The sitter's. */
            told: string;
            /** @description What it is. */
            what: string;
        };
        RectMm: [
            number,
            number,
            number,
            number
        ];
        /** @description A change of the reference. */
        ReferenceEdit: {
            /** @description The print's corners in the upright photo, in pixels, clockwise from the top left. */
            corners: [
                components["schemas"]["Xy"],
                components["schemas"]["Xy"],
                components["schemas"]["Xy"],
                components["schemas"]["Xy"]
            ];
            /** @enum {string} */
            do: "square-up";
            /** @description The print's width and height as typed, if they are known: `8 x 10 in`. */
            print_size?: string | null;
        } | {
            /** @enum {string} */
            do: "forget-square-up";
        } | {
            /**
             * Format: double
             * @description Degrees clockwise.
             */
            degrees: number;
            /** @enum {string} */
            do: "turn";
        } | {
            /** @description Clockwise, or else the other way. */
            clockwise: boolean;
            /** @enum {string} */
            do: "quarter-turn";
        } | {
            /** @enum {string} */
            do: "straighten";
            /** @description One end of the line as seen on the canvas, in mm. */
            from: components["schemas"]["Xy"];
            /** @description Whether it ought to be level; else it ought to be plumb. */
            level: boolean;
            /** @description Its other end. */
            to: components["schemas"]["Xy"];
        } | {
            /** @enum {string} */
            do: "mirror";
            /** @description Whether the photo is mirrored. */
            mirror: boolean;
        } | {
            /** @enum {string} */
            do: "fit";
        } | {
            /** @enum {string} */
            do: "fill";
        } | {
            /** @description The bottom of the chin, in mm. */
            chin: components["schemas"]["Xy"];
            /** @description The top of the head, in mm. */
            crown: components["schemas"]["Xy"];
            /** @enum {string} */
            do: "mark-head";
        } | {
            /** @enum {string} */
            do: "forget-head";
        } | {
            /** @enum {string} */
            do: "head-height";
            /** @description From crown to chin, as typed. */
            height: string;
        } | {
            /** @enum {string} */
            do: "space";
            /** @description The side of the canvas. */
            side: components["schemas"]["Side"];
            /** @description How far from it, as typed. */
            space: string;
        } | {
            /** @enum {string} */
            do: "move";
            /**
             * Format: double
             * @description Down, in mm.
             */
            down: number;
            /**
             * Format: double
             * @description To the right, in mm.
             */
            right: number;
        } | {
            /** @description The point that keeps its place, in mm. */
            about: components["schemas"]["Xy"];
            /** @enum {string} */
            do: "scale";
            /**
             * Format: double
             * @description By how much.
             */
            factor: number;
        };
        /** @description The reference on the canvas. */
        ReferenceView: {
            /** @description Set when pixels will show. */
            coarse: string | null;
            /** @description How much of the canvas it covers, in a sentence. */
            covers: string;
            head: components["schemas"]["HeadView"] | null;
            /** @description The map from the picture's pixels to the canvas's millimetres, as an SVG `matrix(a b c d e f)`. */
            matrix: components["schemas"]["Matrix"];
            /** @description Whether it is mirrored. */
            mirror: boolean;
            /** @description Width and height in pixels of the upright photo, before any squaring up. */
            photo: [
                number,
                number
            ];
            /** @description How it was placed. */
            place: components["schemas"]["PlacedBy"];
            /** @description Its resolution on the canvas in words, such as `254 pixels of the photo to an inch of canvas`. */
            resolution: string;
            /** @description Width and height in pixels of the picture on the canvas. */
            size: [
                number,
                number
            ];
            /** @description Spaces between the photo's edges and the canvas's sides as text, if no head is marked: top, right, bottom, left. */
            spaces: [
                string,
                string,
                string,
                string
            ];
            /** @description The corners of the print in the photo, if it is squared up, in pixels clockwise from the top left. */
            square_up: [
                components["schemas"]["Xy"],
                components["schemas"]["Xy"],
                components["schemas"]["Xy"],
                components["schemas"]["Xy"]
            ] | null;
            /**
             * Format: double
             * @description Degrees clockwise, between -180 and 180.
             */
            turn: number;
        };
        /** @description A screen that is let in. */
        ScreenLetIn: {
            /**
             * Format: int64
             * @description The number of the code that it brought last since the studio was started.
             */
            by_code: number | null;
            /** @description By which the page asks for it. */
            id: string;
            /** @description The titles of the paintings that it may see. */
            paintings: string[];
            /** @description When it brought a code last (RFC 3339). */
            since: string;
        };
        /**
         * @description Which way a seam runs.
         * @enum {string}
         */
        SeamDirection: "upright" | "level";
        /**
         * @description What seams go by that run by themselves.
         * @enum {string}
         */
        SeamRule: "fewest" | "beside-head";
        /**
         * @description What the seams of the reference go by.
         * @enum {string}
         */
        SeamsBy: "fewest" | "beside-head" | "hand";
        /** @description Second screens as they stand. */
        SecondScreens: {
            /** @description Where the studio can be reached from elsewhere in the house; none while it cannot. */
            addresses: string[];
            /**
             * Format: int64
             * @description The number of the code that can be used now.
             */
            code: number | null;
            /** @description Why it is not kept for the next start who is let in, if it is not. */
            not_kept: string | null;
            /** @description The screens that are let in. */
            screens: components["schemas"]["ScreenLetIn"][];
        };
        /**
         * @description What a landmark was set with.
         * @enum {string}
         */
        SetBy: "loupe" | "tap" | "finger";
        /** @description A sheet of the packet. */
        Sheet: {
            /**
             * Format: double
             * @description The paper's height.
             */
            height_mm: number;
            /** @description Its kind, by the word that asks for it. */
            kind: string;
            /** @description Its name among the sheets. */
            label: string;
            /** @description Where its picture is to be had. */
            picture: string;
            /**
             * Format: double
             * @description The paper's width.
             */
            width_mm: number;
        };
        /** @description The sheets that the reference takes. */
        SheetPlanView: {
            /** @description How far the seams stay from the face, as text, if there are seams and none of them crosses the head. */
            clearance: string | null;
            /** @description A narrower lap with which none does, as text, if one helps. */
            lap_beside_head: string | null;
            /** @description Level seams, in mm from the canvas's top. */
            level_seams: number[];
            /** @description Set when the reference cannot be cut over this paper. */
            problem: string | null;
            /** @description The detail boxes elsewhere that a seam runs through, by name: a second sitter's face, perhaps. */
            seam_through: string[];
            /** @description What of the head a seam runs through, in words, if one does: `the face`. */
            seam_through_head: string | null;
            /** @description Upright seams, in mm from the canvas's left. */
            upright_seams: number[];
            /** @description Each sheet. */
            windows: components["schemas"]["WindowView"][];
        };
        /** @description The sheets of the packet, in its order. */
        Sheets: {
            sheets: components["schemas"]["Sheet"][];
        };
        /** @description The paintings on the shelf, newest first. */
        Shelf: {
            /** @description The folder that holds their files. */
            folder: string;
            paintings: components["schemas"]["ShelfPainting"][];
            /** @description How many were taken down. */
            taken_down: number;
        };
        /** @description A painting on the shelf. */
        ShelfPainting: {
            canvas: components["schemas"]["CanvasSize"] | null;
            /** @description When it was last changed (RFC 3339). */
            changed: string;
            /** @description The name of its file, which stays when the title is changed. */
            file: string;
            /** @description By which the page asks for it. */
            id: string;
            /** @description Where its picture is to be had, if the file can be opened. */
            picture: string | null;
            /** @description The canvas's size in the painting's unit, if the file can be opened: `50 x 70 cm`. */
            size: string | null;
            /** @description Its title, or the name of a file that cannot be opened. */
            title: string;
            /** @description Why the file cannot be opened. */
            trouble: string | null;
        };
        /** @description The paintings that the screen that asks may see, the one it was let in for last at the end. */
        Shown: {
            paintings: components["schemas"]["ShownPainting"][];
        };
        /** @description A painting that a screen may see. */
        ShownPainting: {
            /** @description By which the page asks for it. */
            id: string;
            /** @description Its title. */
            title: string;
        };
        /**
         * @description A side of the canvas, or of a box on it, seen from the front.
         * @enum {string}
         */
        Side: "top" | "right" | "bottom" | "left";
        /** @description One side with its marks. */
        SideView: {
            /** @description The marks in order from left to right or top to bottom. */
            marks: components["schemas"]["MarkView"][];
            /** @description Which side. */
            side: components["schemas"]["Side"];
            /** @description Its whole length as text. */
            total: string;
        };
        /** @description The value at a spot of the reference. */
        Spot: {
            /** @description Both in a sentence. */
            says: string;
            /** @description The step of the value map that it belongs to. */
            step: components["schemas"]["ValueStep"];
            /** @description Its Munsell value, to one decimal. */
            value: string;
        };
        /**
         * @description Where the squares of a grid are counted from.
         * @enum {string}
         */
        SquaresFrom: "top-left" | "top-right" | "bottom-left" | "bottom-right" | "centre";
        /** @description A standard size of canvas. */
        StandardSize: {
            /** @description Its height as text. */
            height: string;
            /** @description Its name in the trade. */
            name: string;
            /** @description Its width as text. */
            width: string;
        };
        /** @description The standard sizes of canvases. */
        StandardSizes: {
            sizes: components["schemas"]["StandardSize"][];
        };
        /**
         * @description A step of the work, by a short name.
         * @enum {string}
         */
        StepKey: "reference" | "canvas" | "placing" | "grid" | "mark-up" | "likeness" | "print" | "check";
        /** @description The paintings that were taken down, the one changed last first. */
        Store: {
            paintings: components["schemas"]["TakenDown"][];
        };
        /** @description A landmark that is not placed yet. */
        SuggestionView: {
            /** @description Where it is expected. */
            at: components["schemas"]["Xy"];
            /** @description Its name. */
            name: string;
        };
        /** @description A painting that was taken down and can be hung again. */
        TakenDown: {
            /** @description The name of its file. */
            file: string;
            /** @description By which the page asks for it. */
            id: string;
            /** @description Its title, or the name of a file that cannot be opened. */
            title: string;
        };
        /** @description A new title. */
        Title: {
            /**
             * Format: int64
             * @description The revision it starts from.
             */
            revision: number;
            /** @description The title. */
            title: string;
        };
        /** @description A length that a tone is made with. */
        ToneLength: {
            /** @description The smallest mass, or the blur, on the canvas, in the painting's unit: `2 mm`, `5/64 in`. */
            length: string;
        };
        /** @description An edit to be tried. */
        Trial: {
            /** @description What would be changed. */
            edit: components["schemas"]["Edit"];
        };
        /** @description What an edit would give. */
        Tried: {
            /** @description Everything that would follow from it. */
            view: components["schemas"]["View"];
        };
        /** @description What the page is told when something cannot be. */
        Trouble: {
            /** @description A sentence for the painter. */
            message: string;
            state: components["schemas"]["PaintingState"] | null;
        };
        /**
         * @description A unit a painter states lengths in.
         * @enum {string}
         */
        Unit: "inch" | "centimetre" | "millimetre";
        /** @description Values of both, for orientation only. */
        ValueCheckView: {
            /** @description Each box. */
            boxes: components["schemas"]["BoxValuesView"][];
            /** @description What was done to the photo's exposure. */
            exposure: string;
        };
        /** @description The steps of a value map. */
        ValueMapSteps: {
            /** @description The darkest first. */
            steps: components["schemas"]["ValueStep"][];
        };
        /** @description The steps of every value map there is. */
        ValueMaps: {
            /** @description One for each number of steps, the fewest first. */
            maps: components["schemas"]["ValueMapSteps"][];
        };
        /** @description One step of a value map. */
        ValueStep: {
            /** @description The values that it stands for, as text. */
            band: string;
            /**
             * Format: int32
             * @description Its grey as a number of sRGB, the same for red, green and blue.
             */
            grey: number;
            /**
             * Format: int32
             * @description Its number, 1 for the darkest.
             */
            number: number;
            /** @description Its Munsell value, as text. */
            value: string;
        };
        /**
         * @description What is to be thought of a line.
         * @enum {string}
         */
        VerdictView: "true" | "off" | "cannot-tell";
        /** @description All that the page shows of one painting's plan. */
        View: {
            /** @description The canvas and its marks. */
            canvas: components["schemas"]["CanvasView"];
            /** @description The detail boxes. */
            details: components["schemas"]["DetailView"][];
            /** @description The main grid. */
            grid: components["schemas"]["GridView"];
            /** @description Guide lines for composing. */
            guides: components["schemas"]["GuideView"][];
            /** @description What is measured on the sitter. */
            likeness: components["schemas"]["LikenessView"];
            /** @description The notebook's lines, in the order of the work. */
            notebook: components["schemas"]["NotebookLine"][];
            /** @description How the packet is printed. */
            printing: components["schemas"]["PrintingView"];
            reference: components["schemas"]["ReferenceView"] | null;
            /** @description The ruler that is read, as written on it: `1/16 in`. */
            ruler: string;
            sheets: components["schemas"]["SheetPlanView"] | null;
            /** @description The unit in which lengths are stated: `inch`, `centimetre` or `millimetre`. */
            unit: components["schemas"]["Unit"];
        };
        /** @description A way from a second screen to the studio. */
        Way: {
            /** @description The address to be typed, where the code is asked for. */
            address: string;
            /** @description A QR code as SVG that leads there and brings the code along. */
            qr: string;
        };
        /** @description One number of the whole drift. */
        WholeDriftView: {
            /** @description Give or take so much. */
            give_or_take: string;
            /** @description Whether it is more than chance. */
            surely: boolean;
            /** @description How much, in words; that nothing can be told when it may be chance. */
            told: string;
            /** @description What it is. */
            what: string;
        };
        /** @description One sheet of the reference. */
        WindowView: {
            /** @description Its name: the column's letter and the row's number. */
            name: string;
            /** @description The part of the canvas on it. */
            rect: components["schemas"]["RectMm"];
        };
        /** @description The event `working`. */
        Working: {
            /** @description What is being done, in words. */
            saying: string;
        };
        Xy: [
            number,
            number
        ];
    };
    responses: never;
    parameters: never;
    requestBodies: never;
    headers: never;
    pathItems: never;
}
export type BoxMarksView = components['schemas']['BoxMarksView'];
export type BoxValuesView = components['schemas']['BoxValuesView'];
export type CanvasEdit = components['schemas']['CanvasEdit'];
export type CanvasPhotoView = components['schemas']['CanvasPhotoView'];
export type CanvasSize = components['schemas']['CanvasSize'];
export type CanvasView = components['schemas']['CanvasView'];
export type Change = components['schemas']['Change'];
export type Changed = components['schemas']['Changed'];
export type CheckChange = components['schemas']['CheckChange'];
export type CheckLine = components['schemas']['CheckLine'];
export type CheckView = components['schemas']['CheckView'];
export type CheckWish = components['schemas']['CheckWish'];
export type ChecksView = components['schemas']['ChecksView'];
export type Chosen = components['schemas']['Chosen'];
export type ChosenChange = components['schemas']['ChosenChange'];
export type CodeTyped = components['schemas']['CodeTyped'];
export type CodeWanted = components['schemas']['CodeWanted'];
export type CornerView = components['schemas']['CornerView'];
export type DetailEdit = components['schemas']['DetailEdit'];
export type DetailPlotView = components['schemas']['DetailPlotView'];
export type DetailView = components['schemas']['DetailView'];
export type DistanceView = components['schemas']['DistanceView'];
export type Dividers = components['schemas']['Dividers'];
export type Done = components['schemas']['Done'];
export type DoorWanted = components['schemas']['DoorWanted'];
export type DriftView = components['schemas']['DriftView'];
export type Edit = components['schemas']['Edit'];
export type ExposureSaid = components['schemas']['ExposureSaid'];
export type From = components['schemas']['From'];
export type GridEdit = components['schemas']['GridEdit'];
export type GridView = components['schemas']['GridView'];
export type Guide = components['schemas']['Guide'];
export type GuideView = components['schemas']['GuideView'];
export type HeadView = components['schemas']['HeadView'];
export type LandmarkCheckView = components['schemas']['LandmarkCheckView'];
export type LandmarkView = components['schemas']['LandmarkView'];
export type LensWish = components['schemas']['LensWish'];
export type Lenses = components['schemas']['Lenses'];
export type LetIn = components['schemas']['LetIn'];
export type LikenessEdit = components['schemas']['LikenessEdit'];
export type LikenessView = components['schemas']['LikenessView'];
export type LineMm = components['schemas']['LineMm'];
export type LineState = components['schemas']['LineState'];
export type LineTone = components['schemas']['LineTone'];
export type LineView = components['schemas']['LineView'];
export type Made = components['schemas']['Made'];
export type MarkView = components['schemas']['MarkView'];
export type Matrix = components['schemas']['Matrix'];
export type MeasureView = components['schemas']['MeasureView'];
export type NewPainting = components['schemas']['NewPainting'];
export type NotebookLine = components['schemas']['NotebookLine'];
export type Notes = components['schemas']['Notes'];
export type NotesWish = components['schemas']['NotesWish'];
export type OwnDriftView = components['schemas']['OwnDriftView'];
export type PaintedWish = components['schemas']['PaintedWish'];
export type PaintingState = components['schemas']['PaintingState'];
export type PairingCode = components['schemas']['PairingCode'];
export type Paper = components['schemas']['Paper'];
export type PhotoFacts = components['schemas']['PhotoFacts'];
export type PlacedBy = components['schemas']['PlacedBy'];
export type PlotView = components['schemas']['PlotView'];
export type PrintEdit = components['schemas']['PrintEdit'];
export type Printer = components['schemas']['Printer'];
export type Printers = components['schemas']['Printers'];
export type PrintingView = components['schemas']['PrintingView'];
export type ProportionCheckView = components['schemas']['ProportionCheckView'];
export type ProportionView = components['schemas']['ProportionView'];
export type RectMm = components['schemas']['RectMm'];
export type ReferenceEdit = components['schemas']['ReferenceEdit'];
export type ReferenceView = components['schemas']['ReferenceView'];
export type ScreenLetIn = components['schemas']['ScreenLetIn'];
export type SeamDirection = components['schemas']['SeamDirection'];
export type SeamRule = components['schemas']['SeamRule'];
export type SeamsBy = components['schemas']['SeamsBy'];
export type SecondScreens = components['schemas']['SecondScreens'];
export type SetBy = components['schemas']['SetBy'];
export type Sheet = components['schemas']['Sheet'];
export type SheetPlanView = components['schemas']['SheetPlanView'];
export type Sheets = components['schemas']['Sheets'];
export type Shelf = components['schemas']['Shelf'];
export type ShelfPainting = components['schemas']['ShelfPainting'];
export type Shown = components['schemas']['Shown'];
export type ShownPainting = components['schemas']['ShownPainting'];
export type Side = components['schemas']['Side'];
export type SideView = components['schemas']['SideView'];
export type Spot = components['schemas']['Spot'];
export type SquaresFrom = components['schemas']['SquaresFrom'];
export type StandardSize = components['schemas']['StandardSize'];
export type StandardSizes = components['schemas']['StandardSizes'];
export type StepKey = components['schemas']['StepKey'];
export type Store = components['schemas']['Store'];
export type SuggestionView = components['schemas']['SuggestionView'];
export type TakenDown = components['schemas']['TakenDown'];
export type Title = components['schemas']['Title'];
export type ToneLength = components['schemas']['ToneLength'];
export type Trial = components['schemas']['Trial'];
export type Tried = components['schemas']['Tried'];
export type Trouble = components['schemas']['Trouble'];
export type Unit = components['schemas']['Unit'];
export type ValueCheckView = components['schemas']['ValueCheckView'];
export type ValueMapSteps = components['schemas']['ValueMapSteps'];
export type ValueMaps = components['schemas']['ValueMaps'];
export type ValueStep = components['schemas']['ValueStep'];
export type VerdictView = components['schemas']['VerdictView'];
export type View = components['schemas']['View'];
export type Way = components['schemas']['Way'];
export type WholeDriftView = components['schemas']['WholeDriftView'];
export type WindowView = components['schemas']['WindowView'];
export type Working = components['schemas']['Working'];
export type Xy = components['schemas']['Xy'];
export type $defs = Record<string, never>;
export type operations = Record<string, never>;
