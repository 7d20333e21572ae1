package org.slackwater.desktop

import androidx.compose.runtime.Composable
import androidx.compose.ui.ExperimentalComposeUiApi
import androidx.compose.ui.ImageComposeScene
import androidx.compose.ui.unit.Density
import androidx.compose.ui.use
import java.io.File
import kotlin.io.path.createTempDirectory
import kotlin.math.roundToInt
import kotlin.time.Duration
import kotlin.time.TimeSource
import kotlinx.coroutines.CoroutineScope
import kotlinx.coroutines.Dispatchers
import org.jetbrains.skia.EncodedImageFormat
import org.slackwater.ui.core.AppState
import org.slackwater.ui.core.Core
import org.slackwater.ui.design.Light
import org.slackwater.ui.design.SlackwaterTheme
import org.slackwater.ui.screens.SlackwaterApp

/** A phone of ordinary size: 412 by 915 dp. */
private const val WIDTH = 412
private const val HEIGHT = 915
private const val PIXELS_PER_DP = 2.625f

private const val FRAMES = 4
private const val FRAME_NS = 250_000_000L

/** Font scales a phone offers: as delivered, large, largest. */
val scales = listOf(1.0f, 1.3f, 2.0f)

/** Which pictures are wanted, and where. */
class Shots(
    private val directory: File,
    private val lights: List<Light>,
    private val scales: List<Float>,
    private val only: Regex?,
) {
    var count = 0
        private set

    init {
        directory.mkdirs()
    }

    /** Draws [content] as a phone would show it and writes it as PNG. No display is needed. */
    @OptIn(ExperimentalComposeUiApi::class)
    fun shoot(name: String, light: Light, scale: Float, content: @Composable () -> Unit) {
        val width = (WIDTH * PIXELS_PER_DP).roundToInt()
        val height = (HEIGHT * PIXELS_PER_DP).roundToInt()
        ImageComposeScene(width, height, Density(PIXELS_PER_DP, scale), content = content).use { scene ->
            // Several frames: the core's answer, lists that lay out late, motion at rest.
            var image = scene.render(0)
            for (frame in 1..FRAMES) image = scene.render(frame * FRAME_NS)
            val data = requireNotNull(image.encodeToData(EncodedImageFormat.PNG)) { "no PNG for $name" }
            File(directory, "$name-${light.name.lowercase()}-$scale.png").writeBytes(data.bytes)
            count++
        }
    }

    private fun each(name: String, content: (Light) -> @Composable () -> Unit) {
        if (only != null && !only.containsMatchIn(name)) return
        for (light in lights) for (scale in scales) shoot(name, light, scale, content(light))
    }

    /** The parts of the design. */
    fun gallery() {
        for (page in GalleryPage.entries) each("part-${page.name.lowercase()}") { light ->
            { SlackwaterTheme(light, letters, calm = true) { Gallery(page) } }
        }
    }

    /** Each page of [places], under its name, as [core] answers. */
    fun places(core: Core, places: Map<String, String>) {
        for ((name, kept) in places) moment(name, core, kept)
    }

    /** The page [kept] as [core] answers, once [then] was done there. */
    fun moment(name: String, core: Core, kept: String, then: (AppState) -> Unit = {}) {
        // The core is asked in place: a picture is of one moment.
        val state =
            AppState(
                core,
                quietPlatform(lights.first()),
                CoroutineScope(Dispatchers.Unconfined),
                Dispatchers.Unconfined,
                refreshEvery = null,
                settle = Duration.ZERO,
                start = kept,
            )
        state.begin()
        then(state)
        each(name) { light ->
            state.light = light
            return@each { SlackwaterApp(state, letters, calm = true) }
        }
    }
}

/**
 * `ShotsKt DIR [--samples] [--parts] [--only REGEX] [--language TAG]`: writes pictures of every screen to DIR, on the
 * demo rig and of a record with nothing in it, in three lights and three font scales, in another language at the scale
 * as delivered; also those on invented records, and the parts.
 */
fun main(args: Array<String>) {
    val directory = File(args.firstOrNull { !it.startsWith("--") } ?: "shots")
    fun after(option: String) = args.indexOf(option).takeIf { it >= 0 }?.let { args.getOrNull(it + 1) }
    val only = after("--only")?.toRegex()
    val language = after("--language")
    val started = TimeSource.Monotonic.markNow()
    val shots = Shots(directory, Light.entries, if (language == null) scales else scales.take(1), only)
    if ("--parts" in args) shots.gallery()
    if ("--samples" in args) shots.places(SampleCore(), Samples.pages.keys.associateBy { "sample-$it" })
    val store = createTempDirectory("slackwater-shots").toFile()
    try {
        Demo.open(File(store, "demo"), language = language).use { core ->
            shots.places(core, Demo.places(core).mapValues { At.down(it.value) })
        }
        Demo.open(File(store, "states"), language = language).use { core -> Moments(core, shots).drawAll() }
        Demo.open(File(store, "new"), demo = false, language = language).use { core ->
            shots.places(core, Demo.firstPlaces().mapValues { At.down(it.value) })
        }
    } finally {
        store.deleteRecursively()
    }
    println("${shots.count} pictures in ${started.elapsedNow().inWholeMilliseconds} ms, in $directory")
}
