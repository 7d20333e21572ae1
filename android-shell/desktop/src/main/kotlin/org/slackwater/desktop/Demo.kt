package org.slackwater.desktop

import java.io.File
import org.slackwater.bridge.RealCore
import org.slackwater.bridge.Where
import org.slackwater.core.Block
import org.slackwater.core.FieldValue
import org.slackwater.core.Form
import org.slackwater.core.Page
import org.slackwater.core.Reply
import org.slackwater.ui.core.Core
import org.slackwater.ui.core.Photo

/** The real core on the demo crew, at one moment that never moves by itself: pictures and tests repeat. */
object Demo {
    /** 1 June 2026, 06:00 UTC; the crew is two hours ahead. */
    const val NOW_MS = 1_780_293_600_000
    const val OFFSET_MINUTES = 120

    fun open(folder: File, demo: Boolean = true, language: String? = null): RealCore =
        RealCore.open(Where(folder.path, OFFSET_MINUTES, demo, NOW_MS, language = language))

    /** What stands at [at]. */
    fun show(core: Core, at: String): Page {
        core.restore(At.down(at))
        return core.page()
    }

    /** Does [call] elsewhere and comes back to where the app was. */
    fun <T> aside(core: Core, call: () -> T): T {
        val kept = core.page().kept
        return try {
            call()
        } finally {
            core.restore(kept)
        }
    }

    /** Sends the form of the page at [at]. */
    fun send(core: Core, at: String, vararg typed: Pair<String, String>): Page {
        val page = show(core, at)
        val form = page.forms.first()
        return page.did(core) { core.submit(page.at, form.key, form.filled(*typed)) }
    }

    private fun Page.did(core: Core, call: () -> Reply): Page {
        val faults = call().faults
        check(faults.isEmpty()) { "on $at: ${faults.map { "${it.field}: ${it.text}" }}" }
        return core.page()
    }

    /** The rig with this in its name. */
    fun rigNamed(core: Core, name: String): String =
        aside(core) {
            val page = show(core, At.rigs())
            val row =
                page.rows().firstOrNull { name in it.title } ?: error("no $name, only ${page.rows().map { it.title }}")
            core.act(page.at, requireNotNull(row.tap).action)
            At.partOf(core.page().at, "rig")
        }

    /**
     * Leads the demo on to what is worth seeing, and names the pages. Everything goes through the same actions as a
     * tap.
     */
    fun places(core: RealCore): Map<String, String> {
        val reef = rigNamed(core, "Reef")
        val pool = rigNamed(core, "Pool")
        val all =
            linkedMapOf(
                "rigs" to At.rigs(),
                "rigs-new" to At.rigs("new"),
                "rig-to-recheck" to At.rig(reef),
                "rig-dry" to At.rig(pool),
            )
        for (form in listOf("defect", "dive", "lens", "plan", "copy", "controls")) all["rig-$form"] = At.rig(reef, form)
        all["rig-edit"] = At.edit(reef)
        all["rig-edit-part"] = At.edit(reef, "enclosure/main")
        all["seals"] = At.seals(reef)
        all["seal"] = At.seal(reef, "main-back")
        val subject = requireNotNull(show(core, At.seal(reef, "main-back")).photoSubject)
        core.addPhoto(subject, "Groove after cleaning, a hair at the hinge side", Photo.Bytes(jpegOf(1200, 900)))
        val tiles = show(core, At.seal(reef, "main-back")).blocks.filterIsInstance<Block.Photos>().single().tiles
        all["seal-photo"] = tiles.first().at
        all["seal-gland"] = At.seal(reef, "main-port-base")
        all["seal-monitor"] = At.seal(reef, "monitor-frame")
        all["seal-measure"] = At.seal(reef, "main-back", "measure")
        all["seal-sizes"] = At.seal(reef, "main-back", "sizes/279.2/3.5/mm")
        all["seal-age"] = At.seal(pool, "main-back", "age")
        all["seal-open"] = At.seal(pool, "main-port")
        for (stage in
            listOf("look", "clean/hair", "grease/nick", "back/clean", "back/nick", "note/hair", "fit/clean")) {
            all["service-" + stage.replace('/', '-')] = At.service(pool, "main-port", stage)
        }
        all["service-monitor-grease"] = At.service(pool, "monitor-frame", "grease/clean")
        all["box"] = At.box()
        all["box-add"] = At.box("add")
        all["spares"] = At.spares(reef)
        all["spares-none"] = At.spares(pool)
        all["spares-plan"] = At.spares(reef, "plan")
        all["gland-edit"] = At.edit(reef, "gland/main-port-base")
        all["seal-edit"] = At.edit(reef, "seal/main-back")
        for (form in listOf(null, "water", "hang", "seen", "aim", "what-if")) all[
            "trim" + (form?.let { "-$it" } ?: "")] = At.trim(reef, form)
        all["trim-part"] = At.edit(reef, "part/housing")
        all["trim-weigh"] = At.edit(reef, "part-weigh/housing")
        all["days-faults"] = At.days(reef, "faults")
        all["days-filter"] = At.days(reef, form = "filter")
        all["journal"] = At.journal()
        all["journal-of-rig"] = At.journal(reef)
        val journal = show(core, At.journal())
        core.act(journal.at, requireNotNull(journal.rows().first().tap).action)
        all["entry"] = core.page().at
        for (form in listOf(null, "member", "limits", "units")) all["crew" + (form?.let { "-$it" } ?: "")] =
            At.crew(form)
        all += explainedPlaces()
        all += prepPlaces(core, pool)
        all += holdPlaces(core, reef, pool)
        all += recheckPlaces(core, reef)
        return all
    }

    /** The pages that a record with nothing in it begins with. */
    fun firstPlaces(): Map<String, String> =
        mapOf("first-rigs" to At.rigs()) +
            listOf("Who", "Gauge", "Rig").associate { "first-${it.lowercase()}" to At.start(it) }

    /** What the app says of itself, and to whom it is new. */
    private fun explainedPlaces(): Map<String, String> {
        val all = linkedMapOf<String, String>()
        for (page in listOf("Who", "Gauge", "Rig")) all["start-${page.lowercase()}"] = At.start(page)
        for (of in listOf("Rig", "Hold", "Service")) all["help-${of.lowercase()}"] = At.help(of)
        all["about"] = At.about()
        all["about-licence"] = At.about("1")
        return all
    }

    private fun prepPlaces(core: Core, rig: String): Map<String, String> {
        val started = show(core, At.rig(rig))
        val build = started.rows().first { it.title == "Build and prove" }.tap
        core.act(started.at, requireNotNull(build).action)
        val prep = At.partOf(core.page().at, "prep")
        val steps =
            show(core, At.prep(prep, form = "steps"))
                .rows()
                .mapNotNull { it.tap }
                .map {
                    core.restore(At.kept(At.rigs(), At.prep(prep, form = "steps")))
                    core.act(core.page().at, it.action)
                    core.page()
                }
        val all =
            linkedMapOf(
                "prep" to At.prep(prep),
                "prep-steps" to At.prep(prep, form = "steps"),
                "prep-skip" to At.prep(prep, steps.first().step, "skip"),
            )
        fun first(name: String, of: (Page) -> Boolean) = steps.firstOrNull(of)?.let { all[name] = At.place(it.at) }
        first("prep-screws") { page -> page.blocks.any { it is Block.Screws } }
        first("prep-parts") { page -> page.blocks.any { it is Block.Ticks } }
        first("prep-controls") { page -> page.rows().any { it.other != null } }
        first("prep-caution") { page -> page.blocks.any { it is Block.Caution } }
        first("prep-measure") { page -> page.forms.isNotEmpty() }
        return all
    }

    /** The night's hold of the demo, found through the journal as a person would. */
    private fun overnight(core: Core, rig: String): String? {
        core.restore(At.kept(At.rigs(), At.journal(rig)))
        while (true) {
            val page = core.page()
            val holds =
                page.rows().mapNotNull { row ->
                    core.restore(page.kept)
                    val tap = row.tap ?: return@mapNotNull null
                    core.act(page.at, tap.action)
                    holdOf(core.page())
                }
            holds
                .distinct()
                .lastOrNull { tookANight(show(core, it)) }
                ?.let {
                    return it
                }
            core.restore(page.kept)
            core.act(page.at, (page.main ?: return null).action)
        }
    }

    private fun holdOf(entry: Page): String? {
        val hold = entry.photoSubject.orEmpty().substringAfter("/hold/", "").substringBefore("/")
        return if (hold.isEmpty()) null else At.hold(hold)
    }

    private fun tookANight(page: Page): Boolean {
        val chart = page.blocks.firstNotNullOfOrNull { (it as? Block.Chart)?.chart } ?: return false
        return chart.xUnit != "min" || chart.xMax > 600
    }

    private fun holdPlaces(core: RealCore, reef: String, pool: String): Map<String, String> {
        val all = linkedMapOf("hold-setup" to At.setup(reef, "main"))
        overnight(core, reef)?.let { all["hold-overnight"] = it }
        // A hold under way on the pool rig's monitor housing.
        val rig = show(core, At.rig(pool))
        val close = rig.housings().last().tap ?: return all
        core.act(rig.at, close.action)
        val at = startHold(core, pool)
        for ((i, gauge) in listOf("202.6", "202.3", "202.1", "202.0", "201.9", "202.0", "201.9").withIndex()) {
            core.advanceClock(90_000)
            if (show(core, at).forms.isEmpty()) break
            send(core, at, "gauge" to gauge, "temperature" to "24.${(i + 1) % 2}", "ambient" to "1012")
        }
        all["hold-running"] = at
        all["hold-abandon"] = At.hold(At.partOf(at, "hold"), "abandon")
        return all
    }

    /** Begins a hold of the monitor housing of [rig], the camera cold, in the shade; gives its page. */
    fun startHold(core: Core, rig: String, source: String = "surface"): String =
        send(
                core,
                At.setup(rig, "monitor"),
                "open" to "nothing",
                "gauge" to "203.4",
                "temperature" to "24.1",
                "ambient" to "1012",
                "resolution" to "0.1",
                "source" to source,
                "camera" to "cold",
                "desiccant" to "none",
                "stood" to "here",
            )
            .at

    private fun recheckPlaces(core: Core, rig: String): Map<String, String> {
        val own = arrayOf("temperature/main" to "21.5", "temperature/monitor" to "21.5")
        send(core, At.recheck(rig), *own, "ambient" to "1009", "stood" to "here")
        return mapOf("recheck" to At.recheck(rig))
    }
}

/** The form's own values, with these in their place. */
fun Form.filled(vararg typed: Pair<String, String>): List<FieldValue> {
    val known = typed.toMap()
    val unknown = known.keys - fields.map { it.key }.toSet()
    require(unknown.isEmpty()) { "form $key has no $unknown, only ${fields.map { it.key }}" }
    return fields.map { FieldValue(it.key, known[it.key] ?: it.value) }
}
