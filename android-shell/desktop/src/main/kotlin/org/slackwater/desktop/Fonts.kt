package org.slackwater.desktop

import androidx.compose.ui.text.font.FontFamily
import androidx.compose.ui.text.font.FontWeight
import androidx.compose.ui.text.platform.Font

/** The bundled letters; Android takes the same files from its resources. */
val letters =
    FontFamily(
        Font("font/open_sans_regular.ttf", FontWeight.Normal),
        Font("font/open_sans_semibold.ttf", FontWeight.SemiBold),
        Font("font/open_sans_bold.ttf", FontWeight.Bold),
    )
