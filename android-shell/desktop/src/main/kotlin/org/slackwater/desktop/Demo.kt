package org.slackwater.desktop

import java.io.File
import org.slackwater.bridge.RealCore
import org.slackwater.bridge.Where
import org.slackwater.core.Action
import org.slackwater.core.FieldValue
import org.slackwater.core.Form
import org.slackwater.core.HoldAction
import org.slackwater.core.JournalAction
import org.slackwater.core.Outcome
import org.slackwater.core.Place
import org.slackwater.core.PrepAction
import org.slackwater.core.RecheckAction
import org.slackwater.core.RigAction
import org.slackwater.core.RigsAction
import org.slackwater.core.Row
import org.slackwater.core.Screen
import org.slackwater.ui.core.Photo
import org.slackwater.ui.core.own

/** The real core on the demo crew, at one moment that never moves by itself: pictures and tests repeat. */
object Demo {
    /** 1 June 2026, 06:00 UTC; the crew is two hours ahead. */
    const val NOW_MS = 1_780_293_600_000
    const val OFFSET_MINUTES = 120

    fun open(folder: File, demo: Boolean = true): RealCore =
        RealCore.open(Where(folder.path, OFFSET_MINUTES, demo, NOW_MS))

    /**
     * Leads the demo on to what is worth seeing, and names the places. Everything goes through the same actions as a
     * tap.
     */
    fun places(core: RealCore): Map<String, Place> {
        val rigs = (core.show(Place.Rigs(null)) as Screen.Rigs).screen.rigs
        fun rigNamed(name: String): String {
            val row =
                rigs.firstOrNull { name in it.title } ?: error("no $name in the demo, only ${rigs.map { it.title }}")
            return (row.tap?.action?.own as RigsAction.OpenRig).rig
        }
        val reef = rigNamed("Reef")
        val pool = rigNamed("Pool")
        val all =
            linkedMapOf<String, Place>(
                "rigs" to Place.Rigs(null),
                "rigs-new" to Place.Rigs("new"),
                "rig-to-recheck" to Place.Rig(reef, null),
                "rig-dry" to Place.Rig(pool, null),
            )
        for (form in listOf("defect", "dive", "lens", "plan", "copy", "controls")) all["rig-$form"] =
            Place.Rig(reef, form)
        all["rig-edit"] = Place.RigEdit(reef, null)
        all["rig-edit-part"] = Place.RigEdit(reef, "enclosure/main")
        all["seals"] = Place.Seals(reef)
        all["seal"] = Place.Seal(reef, "main-back", null)
        val seal = (core.show(Place.Seal(reef, "main-back", null)) as Screen.Seal).screen
        core.addPhoto(
            seal.photoSubject,
            "Groove after cleaning, a hair at the hinge side",
            Photo.Bytes(jpegOf(1200, 900)),
        )
        all["seal-photo"] =
            Place.Photo((core.show(Place.Seal(reef, "main-back", null)) as Screen.Seal).screen.photos.first().hash)
        all["seal-gland"] = Place.Seal(reef, "main-port-base", null)
        all["seal-monitor"] = Place.Seal(reef, "monitor-frame", null)
        all["seal-measure"] = Place.Seal(reef, "main-back", "measure")
        all["seal-sizes"] = Place.Seal(reef, "main-back", "sizes/279.2/3.5/mm")
        all["seal-age"] = Place.Seal(pool, "main-back", "age")
        all["seal-open"] = Place.Seal(pool, "main-port", null)
        for (stage in
            listOf("look", "clean/hair", "grease/nick", "back/clean", "back/nick", "note/hair", "fit/clean")) {
            all["service-" + stage.replace('/', '-')] = Place.Service(pool, "main-port", stage, null, null)
        }
        all["service-monitor-grease"] = Place.Service(pool, "monitor-frame", "grease/clean", null, null)
        all["box"] = Place.RingBox(null)
        all["box-add"] = Place.RingBox("add")
        all["spares"] = Place.Spares(reef, null)
        all["spares-none"] = Place.Spares(pool, null)
        all["spares-plan"] = Place.Spares(reef, "plan")
        all["gland-edit"] = Place.RigEdit(reef, "gland/main-port-base")
        all["seal-edit"] = Place.RigEdit(reef, "seal/main-back")
        for (form in listOf(null, "water", "hang", "seen", "aim", "what-if")) all[
            "trim" + (form?.let { "-$it" } ?: "")] = Place.Trim(reef, form)
        all["trim-part"] = Place.RigEdit(reef, "part/housing")
        all["trim-weigh"] = Place.RigEdit(reef, "part-weigh/housing")
        all["journal"] = Place.Journal(null, null)
        all["journal-of-rig"] = Place.Journal(reef, null)
        val entries = (core.show(Place.Journal(null, null)) as Screen.Journal).screen.entries
        all["entry"] = Place.Entry((entries.first().tap?.action?.own as JournalAction.OpenEntry).event)
        for (form in listOf(null, "member", "limits", "units")) all["crew" + (form?.let { "-$it" } ?: "")] =
            Place.Crew(form)

        all += prepPlaces(core, pool)
        all += holdPlaces(core, reef, pool)
        all += recheckPlaces(core, reef)
        return all
    }

    private fun prepPlaces(core: RealCore, rig: String): Map<String, Place> {
        val start = core.act(Place.Rig(rig, null), Action.Rig(RigAction.StartPrep("general-build")))
        val prep = (start.went() as Place.Prep).prep
        val steps =
            (core.show(Place.Prep(prep, null, "steps")) as Screen.Prep).screen.steps.mapNotNull {
                (it.tap?.action?.own as? PrepAction.GoTo)?.step
            }
        val shown = steps.map { it to (core.show(Place.Prep(prep, it, null)) as Screen.Prep).screen }
        fun first(of: (Pair<String, org.slackwater.core.PrepScreen>) -> Boolean) = shown.firstOrNull(of)?.first
        val all =
            linkedMapOf<String, Place>(
                "prep" to Place.Prep(prep, null, null),
                "prep-steps" to Place.Prep(prep, null, "steps"),
                "prep-skip" to Place.Prep(prep, steps.first(), "skip"),
            )
        first { it.second.drawing != null }?.let { all["prep-screws"] = Place.Prep(prep, it, null) }
        first { step -> step.second.parts.any { it.tap?.action?.own is PrepAction.Tick } }
            ?.let { all["prep-parts"] = Place.Prep(prep, it, null) }
        first { step -> step.second.parts.any { it.other != null } }
            ?.let { all["prep-controls"] = Place.Prep(prep, it, null) }
        first { it.second.caution != null }?.let { all["prep-caution"] = Place.Prep(prep, it, null) }
        first { it.second.form != null }?.let { all["prep-measure"] = Place.Prep(prep, it, null) }
        return all
    }

    /** The night's hold of the demo, found through the journal as a person would. */
    private fun overnight(core: RealCore, rig: String): Place.Hold? {
        var page: Place.Journal? = Place.Journal(rig, null)
        while (page != null) {
            val screen = (core.show(page) as Screen.Journal).screen
            val holds = screen.entries.mapNotNull { holdOf(core, it) }
            holds
                .lastOrNull { tookANight(core, it) }
                ?.let {
                    return it
                }
            page = screen.older?.let { Place.Journal(rig, it) }
        }
        return null
    }

    private fun holdOf(core: RealCore, row: Row): Place.Hold? {
        val event = (row.tap?.action?.own as? JournalAction.OpenEntry)?.event ?: return null
        val record = (core.show(Place.Entry(event)) as Screen.Entry).screen.photoSubject
        val hold = record.substringAfter("/hold/", "").substringBefore("/")
        return if (hold.isEmpty()) null else Place.Hold(hold, null)
    }

    private fun tookANight(core: RealCore, hold: Place.Hold): Boolean {
        val chart = (core.show(hold) as Screen.Hold).screen.chart ?: return false
        return chart.xUnit != "min" || chart.xMax > 600
    }

    private fun holdPlaces(core: RealCore, reef: String, pool: String): Map<String, Place> {
        val all = linkedMapOf<String, Place>("hold-setup" to Place.HoldSetup(reef, "main"))
        overnight(core, reef)?.let { all["hold-overnight"] = it }
        // A hold under way on the pool rig's monitor housing.
        val rig = (core.show(Place.Rig(pool, null)) as Screen.Rig).screen
        val enclosure = (rig.enclosures.last().tap?.action?.own as? RigAction.CloseEnclosure)?.enclosure ?: return all
        core.act(Place.Rig(pool, null), Action.Rig(RigAction.CloseEnclosure(enclosure)))
        val setup = (core.show(Place.HoldSetup(pool, enclosure)) as Screen.HoldSetup).screen
        val started =
            core.act(
                Place.HoldSetup(pool, enclosure),
                Action.Hold(
                    HoldAction.Submit(
                        "setup",
                        setup.form.filled(
                            "open" to "nothing",
                            "gauge" to "203.4",
                            "temperature" to "24.1",
                            "ambient" to "1012",
                            "resolution" to "0.1",
                            "source" to "surface",
                            "camera" to "cold",
                            "desiccant" to "none",
                            "stood" to "here",
                        ),
                    )
                ),
            )
        val place = started.went() as Place.Hold
        for ((i, gauge) in listOf("202.6", "202.3", "202.1", "202.0", "201.9", "202.0", "201.9").withIndex()) {
            core.advanceClock(90_000)
            val form = (core.show(place) as Screen.Hold).screen.form ?: break
            core.act(
                place,
                Action.Hold(
                    HoldAction.Submit(
                        form.key,
                        form.filled("gauge" to gauge, "temperature" to "24.${(i + 1) % 2}", "ambient" to "1012"),
                    )
                ),
            )
        }
        all["hold-running"] = place
        all["hold-abandon"] = Place.Hold(place.hold, "abandon")
        return all
    }

    private fun recheckPlaces(core: RealCore, rig: String): Map<String, Place> {
        val place = Place.Recheck(rig)
        val air = (core.show(place) as Screen.Recheck).screen.air
        core.act(
            place,
            Action.Recheck(RecheckAction.Submit("air", air.filled("temperature" to "21.5", "ambient" to "1009"))),
        )
        return mapOf("recheck" to place)
    }
}

/** Where an action led; says what was wrong if it led nowhere. */
fun Outcome.went(): Place = go ?: error("went nowhere: ${faults.map { "${it.field}: ${it.text}" }} $said")

/** The form's own values, with these in their place. */
fun Form.filled(vararg typed: Pair<String, String>): List<FieldValue> {
    val known = typed.toMap()
    val unknown = known.keys - fields.map { it.key }.toSet()
    require(unknown.isEmpty()) { "form $key has no $unknown, only ${fields.map { it.key }}" }
    return fields.map { FieldValue(it.key, known[it.key] ?: it.value) }
}
