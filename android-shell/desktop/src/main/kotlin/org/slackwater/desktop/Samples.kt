package org.slackwater.desktop

import org.slackwater.core.Answer
import org.slackwater.core.Block
import org.slackwater.core.Button
import org.slackwater.core.ChartFit
import org.slackwater.core.ChartPoint
import org.slackwater.core.ChartTick
import org.slackwater.core.DrawingShape
import org.slackwater.core.FastenerDot
import org.slackwater.core.FastenerDrawing
import org.slackwater.core.Field
import org.slackwater.core.FieldChoice
import org.slackwater.core.FieldKind
import org.slackwater.core.Form
import org.slackwater.core.HoldChart
import org.slackwater.core.Line
import org.slackwater.core.Mark
import org.slackwater.core.Page
import org.slackwater.core.PhotoMark
import org.slackwater.core.PhotoTile
import org.slackwater.core.Quantity
import org.slackwater.core.Row
import org.slackwater.core.Severity
import org.slackwater.core.ShellWords
import org.slackwater.core.Tick
import org.slackwater.core.TrimDrawing
import org.slackwater.core.TrimLabel
import org.slackwater.core.TrimLegend
import org.slackwater.core.TrimShape
import org.slackwater.core.TrimShapeKind
import org.slackwater.core.TrimSpot
import org.slackwater.core.Watch

internal const val CAVEAT =
    "A vacuum proves the seals at a fraction of an atmosphere from the other side. " + "It can't prove them at depth."

/**
 * Invented pages with every kind of block, with the longest texts and with none: the layout is tried on them without a
 * core. What the screens say for real comes from the core alone.
 */
object Samples {
    private const val LONG_NAME = "Main housing of the second unit with the long extension for the wide dome"
    private const val LONG_NOTE =
        "The ring between the second extension ring and the port base, on the side of the camera, " +
            "was replaced after salt crystals were found in its groove; the groove was rinsed, dried and looked at with a lamp"

    private fun line(text: String, severity: Severity = Severity.PLAIN, mark: Mark? = null) = Line(text, severity, mark)

    private fun notice(text: String) = line(text, Severity.NOTICE, Mark.HATCHED)

    private fun number(label: String, value: String, unit: String, sure: String? = null) =
        Quantity(label, value, unit, sure, listOfNotNull(label, "$value $unit", sure).joinToString(", "))

    private fun field(
        key: String,
        label: String,
        kind: FieldKind = FieldKind.TEXT,
        value: String = "",
        unit: String? = null,
        hint: String? = null,
        choices: List<String> = emptyList(),
    ) = Field(key, label, unit, value, hint, kind, choices.map { FieldChoice(it, it) }, true)

    /** What a button sends here is its own label. */
    private fun button(label: String, confirm: String? = null, whyNot: String? = null) =
        Button(label, label, whyNot == null, whyNot, confirm)

    private fun row(
        title: String,
        detail: String = "",
        mark: Mark? = null,
        severity: Severity = Severity.PLAIN,
        footnote: String? = null,
        tap: Button? = null,
        other: Button? = null,
    ) = Row(title, detail, footnote, mark, severity, tap, other)

    private fun page(
        title: String,
        detail: String = "",
        answer: Answer? = null,
        main: Button? = null,
        watch: Watch? = null,
        vararg blocks: Block,
    ) = Page("", "", title, detail, false, answer, blocks.toList(), main, watch, "")

    private val readingForm =
        Form(
            "reading",
            "",
            listOf(
                field("gauge", "Gauge reads", FieldKind.NUMBER, unit = "mbar", hint = "Below ambient, as it stands"),
                field("temperature", "Air in the shade", FieldKind.NUMBER, "24.5", "°C"),
            ),
            "Add the reading",
        )

    private val everyField =
        Form(
            "all",
            "",
            listOf(
                field("name", "Name"),
                field("what", "What was found", FieldKind.LONG_TEXT, LONG_NOTE),
                field("size", "Size", hint = "As AS568-258 or 151.99 x 3.53 mm"),
                field("count", "How many", FieldKind.NUMBER, "1"),
                field(
                    "blocks",
                    "It stands in the way of a dive",
                    FieldKind.SWITCH,
                    "yes",
                    hint = "The rig is not ready until it is put right",
                ),
                field(
                    "where",
                    "Where",
                    FieldKind.CHOICE,
                    choices = listOf("Main housing", "Monitor housing", LONG_NAME),
                ),
                field(
                    "material",
                    "Material",
                    FieldKind.CHOICE,
                    "Material 3",
                    choices = (1..11).map { "Material $it" },
                ),
            ),
            "Record it",
        )

    private val rigs =
        page(
            "Rigs",
            "Assistant: Noor",
            null,
            button("New rig"),
            null,
            Block.Lines(listOf(notice("The clock was set back by 1 day since the last entry."))),
            Block.Rows(
                "",
                listOf(
                    row(
                        "Main rig, 24 mm prime",
                        "Ready until 14:20",
                        Mark.FULL,
                        Severity.GOOD,
                        "Held overnight, rechecked 8 min ago",
                        button("not-ready"),
                    ),
                    row(
                        LONG_NAME,
                        "Not ready: 3 things",
                        Mark.STRUCK,
                        Severity.BLOCKING,
                        null,
                        button("Not ready: 3 things"),
                    ),
                ),
                true,
            ),
            Block.Buttons("More", listOf(button("Journal of everything"), button("Crew, limits and units")), ""),
            Block.Rows("Retired", listOf(row("Old housing", "Retired 3 weeks ago", Mark.HOLLOW)), false),
            Block.Lights,
        )

    private val notReady =
        page(
            LONG_NAME,
            "",
            Answer("Not ready: 3 things", Mark.STRUCK, Severity.BLOCKING, "Main housing was opened 12 min ago."),
            button("Service the outer port ring"),
            null,
            Block.Rows(
                "",
                listOf(
                    row(
                        "Outer port ring",
                        "Disturbed by the opening of the port 12 min ago",
                        Mark.STRUCK,
                        Severity.BLOCKING,
                        null,
                        button("Service it"),
                    ),
                    row(
                        "Main housing",
                        "No hold since it was closed",
                        Mark.HOLLOW,
                        Severity.BLOCKING,
                        null,
                        button("Start a hold"),
                    ),
                    row("Record trigger", "Not tested since the closing", Mark.HOLLOW, Severity.BLOCKING),
                ),
                false,
            ),
            Block.Lines(listOf(notice("Inner port ring is due in 3 days of diving"))),
            Block.Rows(
                "Enclosures",
                listOf(
                    row(
                        "Main housing",
                        "Tight to 3 mL per dive, plug in",
                        Mark.FULL,
                        Severity.PLAIN,
                        "Held overnight, 9 h 40 min",
                        button(
                            "Open it",
                            "Open Main housing? Its hold, its recheck, its plug and its control tests count no more.",
                        ),
                    )
                ),
                false,
            ),
            Block.Rows(
                "Controls",
                (1..9).map {
                    row(
                        "Control $it: focus",
                        if (it < 4) "Works, 5 min ago" else "Not tested",
                        if (it < 4) Mark.FULL else Mark.HOLLOW,
                        tap = button("It does what it should"),
                        other = button("It does not"),
                    )
                },
                false,
            ),
            Block.Figures("Plan", listOf(number("Planned depth", "20", "m"), number("Planned time", "60", "min"))),
            Block.Buttons(
                "More",
                listOf(
                    button("Deck recheck", whyNot = "Nothing is proved yet"),
                    button("Retire the rig", "Retire this rig? It stays in the journal."),
                ),
                "",
            ),
            Block.Photos(
                listOf(PhotoTile("photo", "aa", null, "The photo's file is missing", "Noor, 12 March", true)),
                "rig-1/rig",
            ),
            Block.Footnote("", CAVEAT),
        )

    private val screws =
        page(
            "Closing, 4 of 9",
            "Main rig, 24 mm prime, Full prep",
            Answer(
                "Tighten the screws of the back plate crosswise",
                Mark.HOLLOW,
                Severity.PLAIN,
                "Three rounds: snug, half, full. The gap is even all round.",
            ),
            button("All tight"),
            null,
            Block.Caution("The housing is heavy: two people lift it."),
            Block.Lines(
                listOf(
                    line("You stopped here 12 min ago; two steps were ticked since.", mark = Mark.HATCHED),
                    notice("Waits for: camera in"),
                )
            ),
            Block.Screws(
                FastenerDrawing(
                    DrawingShape.CIRCLE,
                    listOf(1 to 1, 5 to 2, 3 to 3, 7 to 4, 2 to 5, 6 to 6, 4 to 7, 8 to 8).map { (n, turn) ->
                        val a = (n - 1) * Math.PI / 4
                        FastenerDot(
                            turn.toUInt(),
                            (0.5 + 0.5 * Math.sin(a)).toFloat(),
                            (0.5 - 0.5 * Math.cos(a)).toFloat(),
                        )
                    },
                    "Follow the numbers on the drawing, from 1 to 8. Three rounds.",
                )
            ),
            Block.Text("Follow the numbers on the drawing, from 1 to 8. Three rounds.", false),
            Block.Buttons("More", listOf(button("Skip this step"), button("All steps")), ""),
            Block.Photos(emptyList(), "step/prep-1/screws"),
        )

    private val ticks =
        page(
            "Closing, 3 of 9",
            "Main rig, 24 mm prime, Full prep",
            Answer("Service the outer port ring", null, Severity.PLAIN, "Every part is confirmed by who did it."),
            button("Done", whyNot = "3 parts are not confirmed"),
            null,
            Block.Ticks(
                "",
                listOf(
                        "Taken out",
                        "Looked at: no cuts, no flat places",
                        "Cleaned, and its groove",
                        "Greased thinly",
                        "Put back, not twisted",
                    )
                    .mapIndexed { i, text -> Tick(text, "", i < 2, text) },
            ),
            Block.Photos(emptyList(), "step/prep-1/seal"),
        )

    private fun hold(running: Boolean): Page {
        val chart = sampleChart()
        val fit =
            chart.fit.indices.map { i ->
                val x = chart.fit[i].x
                ChartFit(x, chart.fit[i].y, chart.bandLow[i].y, chart.bandHigh[i].y, 197.0 - x * 10.0 / 45.0)
            }
        val core =
            HoldChart(
                chart.points.mapIndexed { i, p -> ChartPoint(p.x, p.y, i == 4) },
                fit,
                0.0,
                45.0,
                180.0,
                205.0,
                chart.xTicks.map { ChartTick(it.at, it.text) },
                chart.yTicks.map { ChartTick(it.at, it.text) },
                "min",
                "mbar",
                "limit 20 mL per dive",
                chart.spoken,
            )
        val verdict =
            if (running) Answer("Not yet: 7 min to 30 min more", Mark.HALF, Severity.PLAIN, "")
            else Answer("Tight to 8 mL per dive", Mark.FULL, Severity.GOOD, "")
        val readings =
            (9 downTo 1).map {
                val aside = button("Set aside", "Set this reading aside as mistyped?")
                row("${190 + it} mbar", "24.5 °C, 1013 mbar", footnote = "Noor, 13:${10 + it}", tap = aside)
            }
        return page(
            "Hold",
            "Main housing",
            verdict,
            if (running) null else button("The plug is in"),
            Watch("hold-1", 9u, running, if (running) 120 else null, null),
            Block.Text(if (running) "Next reading in 2 min" else "Ended 3 min ago", true),
            Block.Chart(core),
            *if (running) arrayOf<Block>(Block.Fields(readingForm, true, "")) else emptyArray(),
            Block.Lines(
                listOf(
                    line("Air warmed by 0.4 K since the valve was closed; that alone is 1.1 mbar."),
                    line("Could not have seen less than 5 mL per dive."),
                )
            ),
            Block.Figures(
                "Figures",
                listOf(
                    number("Leak", "8", "mL per dive", "give or take 2 mL"),
                    number("Limit", "20", "mL per dive"),
                    number("Leak rate, at most", "2.1·10⁻³", "mbar·L/s"),
                ),
            ),
            Block.Rows("Readings", readings, false),
            Block.Footnote("", CAVEAT),
        )
    }

    private val recheck =
        page(
            "Deck recheck",
            "Main rig, 24 mm prime",
            Answer("1 of 2 read", Mark.HALF, Severity.PLAIN, ""),
            null,
            null,
            Block.Title("Main housing"),
            Block.Lines(listOf(line("Read the gauge", mark = Mark.HOLLOW))),
            Block.Figures("", listOf(number("Expected now", "187", "mbar", "give or take 2 mbar"))),
            Block.Fields(
                Form(
                    "reading/main",
                    "",
                    listOf(field("gauge", "Gauge reads", FieldKind.NUMBER, unit = "mbar")),
                    "Record the reading",
                ),
                true,
                "Main housing",
            ),
            Block.Title("Monitor housing"),
            Block.Lines(listOf(line("Less vacuum than the weather explains", Severity.BLOCKING, Mark.STRUCK))),
            Block.Buttons("", listOf(button("Start a new hold")), ""),
            Block.Fields(readingForm.copy(key = "reading/monitor"), false, "Monitor housing"),
        )

    private fun spot(x: Double, y: Double) = TrimSpot(x.toFloat(), y.toFloat())

    private val trim: Page
        get() {
            val shapes =
                listOf(
                    TrimShapeKind.PART to listOf(spot(0.2, 0.2), spot(0.7, 0.15), spot(0.75, 0.5), spot(0.25, 0.55)),
                    TrimShapeKind.LEVEL to listOf(spot(0.0, 0.35), spot(1.0, 0.35)),
                    TrimShapeKind.HANGS to listOf(spot(0.25, 0.6)),
                    TrimShapeKind.TO_CHANGE to listOf(spot(0.7, 0.6)),
                    TrimShapeKind.FREE to listOf(spot(0.9, 0.3)),
                    TrimShapeKind.MASS_CENTRE to listOf(spot(0.48, 0.37)),
                    TrimShapeKind.LIFT_CENTRE to listOf(spot(0.5, 0.3)),
                )
            val drawing =
                TrimDrawing(
                    "From its right",
                    0.7f,
                    shapes.map { (kind, spots) -> TrimShape(kind, spots, null) },
                    listOf(TrimLabel(spot(0.25, 0.6), "1, 3"), TrimLabel(spot(0.0, 0.0), "Rear")),
                    "From its right. The rig is heavy by 40 g, nose 2° up. 1, Front left: 100 g.",
                )
            return page(
                "Trim",
                "Main rig, 24 mm prime",
                Answer(
                    "3 weights to change",
                    Mark.HOLLOW,
                    Severity.PLAIN,
                    "Now it floats by 310 g, give or take 440 g",
                ),
                button("Record all of it hung"),
                null,
                Block.Ticks(
                    "What to hang",
                    listOf(
                        Tick("1 · Front left: 2 × 100 g", "", true, "tick 1"),
                        Tick("2 · $LONG_NAME: 250 g", "", false, "tick 2"),
                        Tick("3 · Rear left: take 50 g off", "100 g more", false, "tick 3"),
                    ),
                ),
                Block.Views(listOf(drawing), shapes.map { TrimLegend(it.first, it.first.name.lowercase()) }),
                Block.Rows(
                    "Learnt in the water",
                    listOf(
                        row(
                            "Floated up by 60 g; nose up",
                            "Main housing: volume 14600 cm³ → 14540 cm³",
                            Mark.FULL,
                            footnote = "Noor, 8 min ago",
                            tap = button("Take it back", "Take this back, and what it taught about the parts?"),
                        )
                    ),
                    false,
                ),
            )
        }

    private val edit =
        page(
            "Main rig, 24 mm prime",
            "",
            null,
            null,
            null,
            Block.Lines(listOf(notice("A change here takes the readiness away until it is proved again."))),
            Block.Title("Enclosures"),
            Block.Rows("", (1..2).map { row("Enclosure $it", "12 L, rated to 60 m", tap = button("Open $it")) }, false),
            Block.Buttons("", listOf(button("Add")), "Enclosures"),
        )

    private val markRing = PhotoMark.Ring(300u, 300u, 600u, 600u)
    private val markArrow = PhotoMark.Arrow(850u, 850u, 610u, 560u)
    private val markWords = PhotoMark.Words(700u, 900u, "A hair")

    private fun photo(broken: Boolean) =
        page(
            "Photos",
            "",
            Answer(LONG_NOTE, null, Severity.PLAIN, ""),
            null,
            null,
            Block.LargePhoto(
                "aa",
                broken,
                "Photo: $LONG_NOTE",
                if (broken) emptyList() else listOf(markRing, markArrow, markWords),
                null,
                null,
            ),
            Block.Lines(
                listOf(
                    if (broken) line("This photo's file is damaged", Severity.BLOCKING, Mark.STRUCK)
                    else line("JPEG, 4.1 MB")
                )
            ),
            Block.Buttons("More", listOf(button("Hand on without its location")), ""),
            Block.Footnote(
                "As recorded",
                "BLAKE3 of the file: 9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c1",
            ),
        )

    private val none =
        page(
            "Journal",
            "No entries",
            null,
            null,
            null,
            Block.Lines(listOf(line("What is done to the rigs will stand here, with who and when."))),
        )

    /** The shell's words, in English. */
    val words =
        ShellWords(
            back = "Back",
            undo = "Undo",
            no = "No, leave it",
            again = "Try again",
            chooseOther = "Choose another",
            addPhoto = "Add a photo",
            choosePhoto = "Choose a photo of this phone's",
            noCamera = "No camera app answers on this phone.",
            fileUnreadable = "That file can't be read.",
            giveUp = "Give it up",
            photoNote = "Note on the photo",
            keepPhoto = "Keep the photo",
            dropPhoto = "Drop the photo",
            lightTitle = "Screen",
            lightDay = "Day",
            lightSun = "Full sun",
            lightNight = "Night",
            photos = "Photos",
            padDecimal = ".",
            padDelete = "Take back a digit",
            padClose = "Put the keys away",
        )

    /** The pages by the name of their picture. The first is where one begins. */
    val pages: Map<String, Page> =
        linkedMapOf(
            "rigs" to rigs,
            "not-ready" to notReady,
            "screws" to screws,
            "ticks" to ticks,
            "hold-running" to hold(true),
            "hold-ended" to hold(false),
            "recheck" to recheck,
            "trim" to trim,
            "edit" to edit,
            "fields" to page("A form", LONG_NAME, null, null, null, Block.Fields(everyField, true, "")),
            "photo" to photo(false),
            "photo-broken" to photo(true),
            "nothing" to none,
        )
}
