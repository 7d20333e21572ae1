package org.slackwater.desktop

import android.app.Activity
import android.app.Application
import android.content.Intent
import android.graphics.Bitmap
import android.net.Uri
import android.provider.MediaStore
import androidx.compose.ui.semantics.SemanticsActions
import androidx.compose.ui.semantics.SemanticsProperties
import androidx.compose.ui.test.SemanticsMatcher
import androidx.compose.ui.test.hasAnyAncestor
import androidx.compose.ui.test.hasClickAction
import androidx.compose.ui.test.hasContentDescription
import androidx.compose.ui.test.hasScrollAction
import androidx.compose.ui.test.hasText
import androidx.compose.ui.test.junit4.v2.createEmptyComposeRule
import androidx.compose.ui.test.performClick
import androidx.compose.ui.test.performScrollToNode
import androidx.compose.ui.test.performTextReplacement
import androidx.core.content.FileProvider
import androidx.core.content.IntentCompat
import androidx.test.core.app.ActivityScenario
import androidx.test.core.app.ApplicationProvider
import androidx.test.ext.junit.runners.AndroidJUnit4
import java.io.ByteArrayOutputStream
import java.io.File
import kotlin.io.path.createTempDirectory
import org.junit.After
import org.junit.Assert.assertEquals
import org.junit.Assert.assertTrue
import org.junit.Rule
import org.junit.runner.RunWith
import org.robolectric.RuntimeEnvironment
import org.robolectric.Shadows.shadowOf
import org.robolectric.annotation.Config
import org.slackwater.app.MainActivity
import org.slackwater.app.PhonePictures
import org.slackwater.app.PhoneSettings
import org.slackwater.app.PhoneSharing
import org.slackwater.app.TestApp
import org.slackwater.bridge.RealCore
import org.slackwater.ui.core.Alarm
import org.slackwater.ui.core.AppState
import org.slackwater.ui.core.Camera
import org.slackwater.ui.core.Photo
import org.slackwater.ui.core.Platform

/**
 * The real activity on Android's framework, the real core and a store of its own, driven by what a person sees and
 * taps. It has the name and the members of the desktop's class, so that the tests written there run here as they are.
 */
@RunWith(AndroidJUnit4::class)
@Config(application = TestApp::class, qualifiers = "w412dp-h915dp-420dpi")
abstract class RealAppTest {
    @get:Rule val rule = createEmptyComposeRule()

    protected val phone: TestApp
        get() = ApplicationProvider.getApplicationContext<Application>() as TestApp

    protected val core: RealCore
        get() = phone.openCore

    protected val app: AppState
        get() = requireNotNull(phone.state) { "no state: ${phone.problem}" }

    protected var scenario: ActivityScenario<MainActivity>? = null

    /** What was handed on. */
    protected val sharing
        get() = phone.sharing

    /** How large the person wants letters, as the phone's settings say it. */
    protected var scale: Float
        get() = RuntimeEnvironment.getFontScale()
        set(value) {
            RuntimeEnvironment.setFontScale(value)
            scenario?.recreate()
            rule.waitForIdle()
        }

    @After
    fun putAway() {
        scenario?.close()
        phone.onTerminate()
        forgetFolders()
    }

    /** The provider remembers its folders for as long as a process lives; here each test has others. */
    private fun forgetFolders() {
        val remembered = FileProvider::class.java.getDeclaredField("sCache").apply { isAccessible = true }
        (remembered.get(null) as MutableMap<*, *>).clear()
    }

    /** Opens the app on the demo (made once and copied) or on an empty store. */
    protected fun start(demo: Boolean = true) {
        if (demo) demoStore.copyRecursively(phone.store, overwrite = true)
        scenario = ActivityScenario.launch(MainActivity::class.java)
        rule.waitForIdle()
    }

    /** Another run of the app, at these places. */
    protected fun open(vararg places: String) {
        phone.again(At.kept(*places))
        rule.waitForIdle()
    }

    private val scrolled = hasAnyAncestor(hasScrollAction())

    /** Brings what matches onto the screen, as a thumb would scroll to it. */
    protected fun see(matcher: SemanticsMatcher) {
        rule.waitForIdle()
        val there = rule.onAllNodes(matcher).fetchSemanticsNodes()
        val docked = there.isNotEmpty() && rule.onAllNodes(matcher and !scrolled).fetchSemanticsNodes().isNotEmpty()
        if (!docked) {
            try {
                rule.onNode(hasScrollAction()).performScrollToNode(matcher)
            } catch (e: AssertionError) {
                throw AssertionError("${matcher.description} is not on ${app.at}, which shows: ${texts()}", e)
            }
        }
    }

    protected fun seeText(text: String, substring: Boolean = false) = see(hasText(text, substring))

    /** Everything that can be read on the screen now. */
    protected fun texts(): List<String> =
        rule
            .onAllNodes(SemanticsMatcher("any") { true }, useUnmergedTree = true)
            .fetchSemanticsNodes()
            .flatMap { n -> n.config.getOrElse(SemanticsProperties.Text) { emptyList() }.map { it.text } }
            .distinct()

    protected fun tap(text: String) = tap(hasText(text) and hasClickAction())

    protected fun tapDescribed(text: String) = tap(hasContentDescription(text) and hasClickAction())

    private fun tap(matcher: SemanticsMatcher) {
        see(matcher)
        rule.onAllNodes(matcher)[0].performClick()
        rule.waitForIdle()
        scenario?.onActivity { takePhotoIfAsked(it) }
        rule.waitForIdle()
        val problem = app.problem
        if (problem != null) throw AssertionError("tapping ${matcher.description} on ${app.at}: $problem")
    }

    /** What the camera app does: it writes into the file it was given and returns. */
    private fun takePhotoIfAsked(activity: MainActivity) {
        val asked = shadowOf(activity).peekNextStartedActivityForResult() ?: return
        if (asked.intent.action != MediaStore.ACTION_IMAGE_CAPTURE) return
        shadowOf(activity).nextStartedActivityForResult
        val uri =
            requireNotNull(IntentCompat.getParcelableExtra(asked.intent, MediaStore.EXTRA_OUTPUT, Uri::class.java))
        requireNotNull(phone.contentResolver.openOutputStream(uri)).use { it.write(jpeg()) }
        shadowOf(activity).receiveResult(asked.intent, Activity.RESULT_OK, Intent())
    }

    /** Types into the field whose spoken name begins with [label]. */
    protected fun type(label: String, value: String) {
        val field =
            SemanticsMatcher.keyIsDefined(SemanticsActions.SetText) and
                SemanticsMatcher("named '$label…'") { it.spoken().startsWith(label) }
        see(field)
        rule.onAllNodes(field)[0].performTextReplacement(value)
        rule.waitForIdle()
    }

    protected fun back() = tapDescribed("Back")

    protected fun assertPlace(place: String) = assertEquals(place, app.at)

    protected fun assertGoodTargets() {
        rule.waitForIdle()
        val problems = rule.targetProblems()
        assertTrue("${app.at}: ${problems.joinToString()}", problems.isEmpty())
    }

    companion object {
        /** Filling the demo takes seconds: it is done once for all tests. */
        private val demoStore: File by lazy {
            createTempDirectory("slackwater-demo").toFile().also { made ->
                Demo.open(made).close()
                Runtime.getRuntime().addShutdownHook(Thread { made.deleteRecursively() })
            }
        }

        /** A small photo as a camera would make it. */
        fun jpeg(): ByteArray = jpegOf(64, 48)
    }
}

/** A photo of this size, in pixels. */
fun jpegOf(width: Int, height: Int): ByteArray {
    val image = Bitmap.createBitmap(width, height, Bitmap.Config.ARGB_8888)
    val row = IntArray(width)
    for (y in 0 until height) {
        for (x in 0 until width) row[x] = (255 shl 24) or (x * 255 / width shl 16) or (y * 255 / height shl 8) or 90
        image.setPixels(row, 0, width, 0, y, width, 1)
    }
    return ByteArrayOutputStream().also { image.compress(Bitmap.CompressFormat.JPEG, 90, it) }.toByteArray()
}

/** No camera, no sound. */
fun quietPlatform(photo: Photo? = null) =
    Platform(
        PhonePictures,
        object : Camera {
            override fun take(taken: (Photo?) -> Unit) = taken(photo)
        },
        PhoneSettings(ApplicationProvider.getApplicationContext()),
        object : Alarm {
            override fun ring() = Unit
        },
        PhoneSharing(ApplicationProvider.getApplicationContext()),
    )
