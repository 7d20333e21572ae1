package org.slackwater.desktop

import androidx.compose.runtime.CompositionLocalProvider
import androidx.compose.runtime.getValue
import androidx.compose.runtime.key
import androidx.compose.runtime.mutableFloatStateOf
import androidx.compose.runtime.mutableStateOf
import androidx.compose.runtime.setValue
import androidx.compose.ui.platform.LocalDensity
import androidx.compose.ui.semantics.SemanticsActions
import androidx.compose.ui.semantics.SemanticsProperties
import androidx.compose.ui.test.SemanticsMatcher
import androidx.compose.ui.test.hasAnyAncestor
import androidx.compose.ui.test.hasClickAction
import androidx.compose.ui.test.hasContentDescription
import androidx.compose.ui.test.hasScrollAction
import androidx.compose.ui.test.hasText
import androidx.compose.ui.test.junit4.v2.createComposeRule
import androidx.compose.ui.test.performClick
import androidx.compose.ui.test.performScrollToNode
import androidx.compose.ui.test.performTextReplacement
import androidx.compose.ui.unit.Density
import java.io.File
import kotlin.io.path.createTempDirectory
import kotlin.time.Duration
import kotlinx.coroutines.CoroutineScope
import kotlinx.coroutines.Dispatchers
import org.junit.After
import org.junit.Assert.assertEquals
import org.junit.Assert.assertTrue
import org.junit.Rule
import org.slackwater.bridge.RealCore
import org.slackwater.ui.core.AppState
import org.slackwater.ui.core.Photo
import org.slackwater.ui.screens.SlackwaterApp

/** The app as it is, on the real core and a store of its own, driven by what a person sees and taps. */
abstract class RealAppTest {
    @get:Rule val rule = createComposeRule()

    private val folder = createTempDirectory("slackwater-test").toFile()
    protected lateinit var core: RealCore
        private set

    protected var state by mutableStateOf<AppState?>(null)
        private set

    protected var scale by mutableFloatStateOf(1f)

    @After
    fun putAway() {
        if (::core.isInitialized) core.close()
        folder.deleteRecursively()
    }

    /** Opens the app on the demo (made once and copied) or on an empty store. */
    protected fun start(demo: Boolean = true) {
        if (demo) demoStore.copyRecursively(folder, overwrite = true)
        core = Demo.open(folder, demo)
        // With nothing kept, as a new phone opens.
        if (demo) open(At.rigs()) else open()
        rule.setContent {
            CompositionLocalProvider(LocalDensity provides Density(LocalDensity.current.density, scale)) {
                state?.let { key(it) { SlackwaterApp(it, letters, calm = true) } }
            }
        }
    }

    /** What was handed on. */
    protected val sharing = KeptSharing()

    /** Another run of the app, at these places. */
    protected fun open(vararg places: String) {
        state =
            AppState(
                    core,
                    quietPlatform(photo = Photo.Bytes(jpeg()), sharing = sharing),
                    CoroutineScope(Dispatchers.Unconfined),
                    Dispatchers.Unconfined,
                    refreshEvery = null,
                    settle = Duration.ZERO,
                    start = At.kept(*places),
                )
                .apply { begin() }
    }

    protected val app: AppState
        get() = requireNotNull(state)

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
        val problem = app.problem
        if (problem != null) throw AssertionError("tapping ${matcher.description} on ${app.at}: $problem")
    }

    /** Types into the field whose spoken name begins with [label]. */
    protected fun type(label: String, value: String) {
        val field =
            SemanticsMatcher.keyIsDefined(SemanticsActions.SetText) and
                SemanticsMatcher("named '$label…'") { it.spoken().startsWith(label) }
        see(field)
        rule.onAllNodes(field)[0].performTextReplacement(value)
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
