package org.slackwater.desktop

import androidx.compose.runtime.Composable
import androidx.compose.ui.ExperimentalComposeUiApi
import androidx.compose.ui.ImageComposeScene
import androidx.compose.ui.unit.Density
import androidx.compose.ui.use
import org.jetbrains.skia.EncodedImageFormat
import org.slackwater.ui.design.Light
import org.slackwater.ui.design.SlackwaterTheme
import java.io.File
import kotlin.math.roundToInt

/** A phone of ordinary size: 412 by 915 dp. */
private const val WIDTH = 412
private const val HEIGHT = 915
private const val PIXELS_PER_DP = 2.625f

/** Font scales a phone offers: as delivered, large, largest. */
val scales = listOf(1.0f, 1.3f, 2.0f)

/** Draws [content] as a phone would show it and writes it to [file] as PNG. No display is needed. */
@OptIn(ExperimentalComposeUiApi::class)
fun shoot(file: File, light: Light, scale: Float, settle: () -> Unit = {}, content: @Composable () -> Unit) {
    val width = (WIDTH * PIXELS_PER_DP).roundToInt()
    val height = (HEIGHT * PIXELS_PER_DP).roundToInt()
    ImageComposeScene(width, height, Density(PIXELS_PER_DP, scale)) {
        SlackwaterTheme(light, letters, calm = true, content = content)
    }.use { scene ->
        scene.render(0)
        settle()
        // Further frames: lists that lay out late, motion at rest.
        scene.render(500_000_000L)
        val image = scene.render(1_000_000_000L)
        val data = requireNotNull(image.encodeToData(EncodedImageFormat.PNG)) { "no PNG for ${file.name}" }
        file.writeBytes(data.bytes)
    }
}

/** Writes the parts of the design in the three lights and three font scales. */
fun shootGallery(directory: File, pages: List<GalleryPage> = GalleryPage.entries): Int {
    directory.mkdirs()
    var count = 0
    for (page in pages) for (light in Light.entries) for (scale in scales) {
        shoot(File(directory, "gallery-${page.name.lowercase()}-${light.name.lowercase()}-$scale.png"), light, scale) { Gallery(page) }
        count++
    }
    return count
}

/** `ShotsKt DIR [gallery]`: writes pictures of every screen to DIR. */
fun main(args: Array<String>) {
    val directory = File(args.firstOrNull() ?: "shots")
    val started = System.nanoTime()
    val count = shootGallery(directory)
    println("$count pictures in ${(System.nanoTime() - started) / 1_000_000} ms, in $directory")
}
