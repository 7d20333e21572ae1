package org.slackwater.desktop

import org.slackwater.core.Block
import org.slackwater.core.Button
import org.slackwater.core.Form
import org.slackwater.core.Page
import org.slackwater.core.Row

/**
 * Pages by what they are of, as the core names them: pictures and tests go there without the taps. A shell never makes
 * one up.
 */
object At {
    private fun text(value: String?) = if (value == null) "null" else "\"$value\""

    private fun at(kind: String, vararg parts: Pair<String, String?>) =
        """{"$kind":{${parts.joinToString(",") { (key, value) -> "\"$key\":${text(value)}" }}}}"""

    fun start(page: String) = at("Start", "page" to page)

    fun about(licence: String? = null) = at("About", "licence" to licence)

    fun help(of: String) = at("Help", "of" to of)

    fun rigs(form: String? = null) = at("Rigs", "form" to form)

    fun rig(rig: String, form: String? = null) = at("Rig", "rig" to rig, "form" to form)

    fun edit(rig: String, part: String? = null) = at("RigEdit", "rig" to rig, "part" to part)

    fun prep(prep: String, step: String? = null, form: String? = null) =
        at("Prep", "prep" to prep, "step" to step, "form" to form)

    fun setup(rig: String, enclosure: String) = at("HoldSetup", "rig" to rig, "enclosure" to enclosure)

    fun hold(hold: String, form: String? = null) = at("Hold", "hold" to hold, "form" to form)

    fun recheck(rig: String) = at("Recheck", "rig" to rig)

    fun seals(rig: String) = at("Seals", "rig" to rig)

    fun seal(rig: String, seal: String, form: String? = null) = at("Seal", "rig" to rig, "seal" to seal, "form" to form)

    fun service(rig: String, seal: String, stage: String) =
        at("Service", "rig" to rig, "seal" to seal, "stage" to stage, "prep" to null, "step" to null)

    fun box(form: String? = null) = at("RingBox", "form" to form)

    fun spares(rig: String, form: String? = null) = at("Spares", "rig" to rig, "form" to form)

    fun trim(rig: String, form: String? = null) = at("Trim", "rig" to rig, "form" to form)

    fun days(rig: String? = null, kind: String = "", form: String? = null): String {
        val filter = """{"housing":"","member":"","kind":"$kind","words":""}"""
        return """{"Days":{"rig":${text(rig)},"before":null,"filter":$filter,"form":${text(form)}}}"""
    }

    fun journal(rig: String? = null) = at("Journal", "rig" to rig, "before" to null)

    fun crew(form: String? = null) = at("Crew", "form" to form)

    /** The pages down to the last of these, as the core keeps them. */
    fun kept(vararg pages: String) = pages.joinToString(",", "[", "]")

    /** The rigs and, on top of them, [page]. */
    fun down(page: String) = kept(*listOf(rigs(), page).distinct().toTypedArray())

    /** Of a page's name what is its place: a page that goes on to another step bears that too. */
    fun place(at: String) = at.substringBefore("}}#") + if ("}}#" in at) "}}" else ""

    /** Whether a page is of this kind: "Rig", "HoldSetup". */
    fun isA(at: String, kind: String) = at.startsWith("{\"$kind\":")

    /** What a page is of: the value of [key] in its name. */
    fun partOf(at: String, key: String): String =
        requireNotNull(Regex("\"$key\":\"([^\"]*)\"").find(at)?.groupValues?.get(1)) { "no $key in $at" }
}

/** The rows of a page under a heading; without one, all of them. */
fun Page.rows(title: String? = null): List<Row> =
    blocks.filterIsInstance<Block.Rows>().filter { title == null || it.title == title }.flatMap { it.rows }

/** The housings of a rig's page, whichever of the built-in languages it is in. */
fun Page.housings(): List<Row> = listOf("Enclosures", "Recintos").flatMap { rows(it) }

/** The forms of a page. */
val Page.forms: List<Form>
    get() = blocks.filterIsInstance<Block.Fields>().map { it.form }

/** Every button of a page. */
val Page.buttons: List<Button>
    get() =
        listOfNotNull(main) +
            blocks.flatMap { block ->
                when (block) {
                    is Block.Rows -> block.rows.flatMap { listOfNotNull(it.tap, it.other) }
                    is Block.Buttons -> block.buttons
                    else -> emptyList()
                }
            }

/** The button of a page that says [label]. */
fun Page.button(label: String): Button =
    requireNotNull(buttons.firstOrNull { it.label == label }) { "no '$label', only ${buttons.map { it.label }}" }

/** What is added to a page's photos belongs to this. */
val Page.photoSubject: String?
    get() = blocks.firstNotNullOfOrNull { (it as? Block.Photos)?.subject }
