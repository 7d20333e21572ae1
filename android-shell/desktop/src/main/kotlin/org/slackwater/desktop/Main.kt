package org.slackwater.desktop

import androidx.compose.ui.unit.DpSize
import androidx.compose.ui.unit.dp
import androidx.compose.ui.window.Window
import androidx.compose.ui.window.application
import androidx.compose.ui.window.rememberWindowState
import org.slackwater.ui.design.Light
import org.slackwater.ui.design.SlackwaterTheme

/** Opens the phone screens in a window of a phone's size. */
fun main() = application {
    Window(::exitApplication, title = "Slackwater", state = rememberWindowState(size = DpSize(412.dp, 915.dp))) {
        SlackwaterTheme(Light.Day, letters) { Gallery(GalleryPage.Actions) }
    }
}
