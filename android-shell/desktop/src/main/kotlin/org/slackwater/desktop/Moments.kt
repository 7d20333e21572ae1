package org.slackwater.desktop

import org.slackwater.bridge.RealCore
import org.slackwater.core.Block
import org.slackwater.core.Mark
import org.slackwater.ui.core.AppState
import org.slackwater.ui.core.Photo

/** Pictures of a rig's states, each drawn while the record is in it: the demo is led from one to the next. */
class Moments(private val core: RealCore, private val shots: Shots) {
    private val reef = Demo.rigNamed(core, "Reef")
    private val pool = Demo.rigNamed(core, "Pool")

    private fun draw(name: String, at: String, then: (AppState) -> Unit = {}) =
        shots.moment("state-$name", core, At.down(at), then)

    /** Everything, in the order of a bad day. */
    fun drawAll() {
        wrongField()
        ready()
        undone()
        clockSetBack()
        afterADive()
        changed()
        leaking()
        flooded()
        drawnOver()
    }

    private fun wrongField() =
        draw("field-error", At.rig(reef, "plan")) { state ->
            val form = requireNotNull(state.page).forms.first()
            form.fields.take(2).forEach { state.type(form, it.key, "deep") }
            state.submit(form)
        }

    private fun ready() {
        recheck { it }
        draw("rechecked", At.recheck(reef))
        plugsIn()
        draw("ready", At.rig(reef))
        draw("ready-rigs", At.rigs())
    }

    /** A housing of the pool rig is marked closed; its hold follows in [leaking]. */
    private fun undone() =
        draw("undo", At.rig(pool)) { state ->
            val housing = requireNotNull(state.page).housings().last()
            state.act(requireNotNull(housing.tap).action)
        }

    private fun clockSetBack() {
        core.advanceClock(-A_DAY_MS)
        draw("clock-back", At.rig(reef))
        core.advanceClock(A_DAY_MS)
    }

    private fun afterADive() {
        core.advanceClock(HALF_AN_HOUR_MS)
        Demo.send(core, At.rig(reef, "dive"), "depth" to "14", "minutes" to "52")
        core.advanceClock(HALF_AN_HOUR_MS)
        draw("after-dive", At.rig(reef))
    }

    private fun changed() {
        recheck { expected -> "${expected.replace(',', '.').toDouble() - CHANGED_BY}" }
        draw("changed", At.recheck(reef))
        draw("changed-rig", At.rig(reef))
    }

    private fun leaking() {
        val at = Demo.startHold(core, pool)
        var gauge = PUMPED_TO
        repeat(READINGS) {
            core.advanceClock(2 * A_MINUTE_MS)
            gauge -= LOST_A_READING
            if (Demo.show(core, at).forms.isNotEmpty())
                Demo.send(core, at, "gauge" to "%.1f".format(java.util.Locale.ROOT, gauge), "temperature" to "24.0")
        }
        draw("leaking", at)
    }

    private fun flooded() {
        val rig = Demo.show(core, At.rig(reef))
        val flood = rig.rows().first { it.title == "Water inside" }.tap
        core.act(rig.at, requireNotNull(flood).action)
        draw("flood", At.place(core.page().at))
    }

    private fun drawnOver() {
        val seal = At.seal(reef, "main-back")
        val subject = requireNotNull(Demo.show(core, seal).photoSubject)
        core.addPhoto(subject, "Groove after cleaning", Photo.Bytes(jpegOf(PHOTO_SIDE, PHOTO_SIDE)))
        val tile = Demo.show(core, seal).blocks.filterIsInstance<Block.Photos>().single().tiles.first()
        draw("photo", tile.at)
        core.restore(At.down(tile.at))
        pressFirst()
        stroke(ARROW)
        // The next tool: a ring.
        pressFirst()
        stroke(RING)
        draw("drawn-over", At.place(core.page().at))
    }

    /** The first of the page's buttons below its blocks. */
    private fun pressFirst() {
        val page = core.page()
        core.act(page.at, page.blocks.filterIsInstance<Block.Buttons>().first().buttons.first().action)
    }

    /** What a finger draws over the photo that stands there, in thousandths of it. */
    private fun stroke(at: List<Int>) {
        val page = core.page()
        val form = requireNotNull(page.blocks.filterIsInstance<Block.LargePhoto>().single().draw)
        val ends = listOf("from_x", "from_y", "to_x", "to_y").zip(at.map { "$it" })
        val faults = core.submit(page.at, form.key, form.filled(*ends.toTypedArray())).faults
        check(faults.isEmpty()) { "a stroke: ${faults.map { it.text }}" }
    }

    /** What stands in the way at the thumb of the rig's page, until nothing does: plugs, and who saw them in. */
    private fun plugsIn() {
        repeat(MOST_TAPS) {
            val page = if (At.isA(core.page().at, "Rig")) core.page() else Demo.show(core, At.rig(reef))
            if (page.answer?.mark == Mark.FULL) return
            core.act(page.at, requireNotNull(page.main).action)
            // Whoever is asked looks, and signs on a page of its own.
            while (!At.isA(core.page().at, "Rig")) {
                val asked = core.page()
                core.act(asked.at, requireNotNull(asked.main).action)
            }
        }
    }

    /** Reads every gauge of the reef rig in air as it was at its hold: [typed] of what is foretold. */
    private fun recheck(typed: (String) -> String) {
        val at = At.recheck(reef)
        val air = Demo.show(core, at).forms.first { it.key == "air" }
        val said =
            air.fields.mapNotNull { field ->
                when {
                    "camera" in field.key -> field.key to "off"
                    "temperature" in field.key -> field.key to "21.5"
                    field.key == "stood" -> field.key to "here"
                    field.key == "ambient" -> field.key to "1009"
                    else -> null
                }
            }
        Demo.send(core, at, *said.toTypedArray())
        while (true) {
            val page = Demo.show(core, at)
            val gauge = page.blocks.filterIsInstance<Block.Fields>().firstOrNull { it.atThumb } ?: break
            val before = page.blocks.take(page.blocks.indexOf(gauge)).filterIsInstance<Block.Figures>().last()
            val reading = typed(before.figures.first().value)
            val values = gauge.form.filled(gauge.form.fields.first().key to reading)
            val faults = core.submit(page.at, gauge.form.key, values).faults
            check(faults.isEmpty()) { "${gauge.of}: ${faults.map { it.text }}" }
        }
    }

    private companion object {
        const val A_MINUTE_MS = 60_000L
        const val A_DAY_MS = 24 * 60 * A_MINUTE_MS
        const val HALF_AN_HOUR_MS = 30 * A_MINUTE_MS
        const val CHANGED_BY = 45
        const val PUMPED_TO = 203.0
        const val LOST_A_READING = 1.5
        const val PHOTO_SIDE = 900
        val ARROW = listOf(200, 300, 550, 520)
        val RING = listOf(480, 430, 860, 760)
        const val READINGS = 12
        const val MOST_TAPS = 8
    }
}
