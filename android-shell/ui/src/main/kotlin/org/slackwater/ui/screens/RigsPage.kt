package org.slackwater.ui.screens

import androidx.compose.runtime.Composable
import org.slackwater.core.Action
import org.slackwater.core.RigsAction
import org.slackwater.core.RigsScreen
import org.slackwater.ui.core.form
import org.slackwater.ui.design.AnswerRow
import org.slackwater.ui.design.ChoiceRow
import org.slackwater.ui.design.Light
import org.slackwater.ui.design.SectionTitle
import org.slackwater.ui.design.part

/** All rigs: which rig, and can it go in the water? */
@Composable
fun RigsPage(frame: Frame, screen: RigsScreen) {
    val form = screen.form?.let { Filled(it) { key, values -> Action.Rigs(RigsAction.Submit(key, values)) } }
    if (form != null && frame.place.form != null) {
        FormPage(frame, screen.title, null, form)
        return
    }
    FramedPage(frame, screen.title, screen.holder, form, frame.main(screen.main?.tap(frame))) {
        lines(screen.notices)
        for (row in screen.rigs) part { RigCard(frame, row.item(frame)) }
        screen.empty?.let { lines(listOf(it)) }
        if (form != null) form(frame, form, inline = screen.main != null)
        taps(frame, frame.words.more, screen.others.map { it.tap(frame) })
        rows(frame, frame.words.retired, screen.retired.map { it.item(frame) })
        part { SectionTitle(frame.words.lightTitle) }
        part { LightChoice(frame, Light.Day, frame.words.lightDay) }
        part { LightChoice(frame, Light.Sun, frame.words.lightSun) }
        part { LightChoice(frame, Light.Night, frame.words.lightNight) }
    }
}

/** The readiness of a rig is what one came to read: it stands largest. */
@Composable
private fun RigCard(frame: Frame, item: Item) {
    val tap = item.tap
    if (tap == null) frame.ItemRow(item)
    else
        AnswerRow(
            item.title,
            item.detail,
            item.mark?.shape,
            tap.act,
            weight = item.severity.weight,
            footnote = item.footnote,
        )
}

@Composable
private fun LightChoice(frame: Frame, light: Light, label: String) =
    ChoiceRow(label, frame.state.light == light, { frame.state.light = light })
