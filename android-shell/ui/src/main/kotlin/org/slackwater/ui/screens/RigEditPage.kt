package org.slackwater.ui.screens

import androidx.compose.runtime.Composable
import org.slackwater.core.Action
import org.slackwater.core.RigEditAction
import org.slackwater.core.RigEditScreen
import org.slackwater.ui.design.Icon
import org.slackwater.ui.design.SectionTitle
import org.slackwater.ui.design.part

/** What a rig consists of, part by part. */
@Composable
fun RigEditPage(frame: Frame, screen: RigEditScreen) {
    val form = screen.form?.let { Filled(it) { key, values -> Action.RigEdit(RigEditAction.Submit(key, values)) } }
    FramedPage(frame, screen.title, null, form, frame.main(screen.main?.tap(frame))) {
        screen.notice?.let { lines(listOf(it)) }
        if (form != null) form(frame, form, inline = screen.main != null)
        for (section in screen.sections) {
            part { SectionTitle(section.title) }
            for (row in section.rows) part { frame.ItemRow(row.item(frame)) }
            part { frame.TapRow(section.add.tap(frame), Icon.Add, of = section.title) }
        }
        taps(frame, null, screen.others.map { it.tap(frame) })
    }
}
