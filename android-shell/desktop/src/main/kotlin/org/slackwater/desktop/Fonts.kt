package org.slackwater.desktop

import androidx.compose.ui.text.font.FontFamily
import androidx.compose.ui.text.font.FontWeight
import androidx.compose.ui.text.platform.Font

/** The bundled letters; Android takes the same files from its resources. */
val letters =
    FontFamily(
        Font("font/b612_regular.otf", FontWeight.Normal),
        Font("font/b612_bold.otf", FontWeight.Bold),
    )
