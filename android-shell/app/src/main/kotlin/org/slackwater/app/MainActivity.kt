package org.slackwater.app

import android.Manifest
import android.content.Intent
import android.net.Uri
import android.os.Build
import android.os.Bundle
import android.provider.Settings
import androidx.activity.ComponentActivity
import androidx.activity.compose.BackHandler
import androidx.activity.compose.setContent
import androidx.activity.enableEdgeToEdge
import androidx.activity.result.ActivityResultLauncher
import androidx.activity.result.PickVisualMediaRequest
import androidx.activity.result.contract.ActivityResultContracts
import androidx.activity.result.contract.ActivityResultContracts.PickVisualMedia
import androidx.compose.runtime.LaunchedEffect
import androidx.compose.ui.text.font.Font
import androidx.compose.ui.text.font.FontFamily
import androidx.compose.ui.text.font.FontWeight
import androidx.core.content.FileProvider
import androidx.core.content.IntentCompat
import androidx.core.view.WindowCompat
import java.io.File
import org.slackwater.ui.R as UiR
import org.slackwater.ui.core.Photo
import org.slackwater.ui.design.Head
import org.slackwater.ui.design.paletteFor
import org.slackwater.ui.screens.FailedApp
import org.slackwater.ui.screens.SlackwaterApp
import org.slackwater.ui.screens.head

/** The bundled letters, from the same files as on the desktop. */
private val letters =
    FontFamily(
        Font(UiR.font.b612_regular, FontWeight.Normal),
        Font(UiR.font.b612_bold, FontWeight.Bold),
    )

/** The one activity. Everything it shows lives in [SlackwaterApplication]. */
class MainActivity : ComponentActivity() {
    private val app
        get() = application as SlackwaterApplication

    private lateinit var mayNotify: ActivityResultLauncher<String>
    private lateinit var chooseFile: ActivityResultLauncher<Array<String>>
    private lateinit var choosePhoto: ActivityResultLauncher<PickVisualMediaRequest>
    private lateinit var takePicture: ActivityResultLauncher<Uri>

    /** Where the camera app was asked to write; kept, since the process may end meanwhile. */
    private var asked: File? = null

    /** What came after the intent that began the activity; heeded anew where the store could not be opened then. */
    private var latest: Intent? = null

    override fun onCreate(savedInstanceState: Bundle?) {
        super.onCreate(savedInstanceState)
        asked = savedInstanceState?.getString(ASKED)?.let(::File)
        takePicture =
            registerForActivityResult(ActivityResultContracts.TakePicture()) { taken ->
                val file = asked
                asked = null
                val photo = if (taken && file != null) Photo.File(file.path) else null
                if (!app.camera.finish(photo)) app.state?.photoTaken(photo)
            }
        mayNotify = registerForActivityResult(ActivityResultContracts.RequestPermission()) { app.state?.again() }
        chooseFile = registerForActivityResult(ActivityResultContracts.OpenDocument()) { app.chosen(it) }
        choosePhoto = registerForActivityResult(ActivityResultContracts.PickVisualMedia()) { app.picked(it) }
        app.open(savedInstanceState?.readKept())
        app.awake.window = window
        enableEdgeToEdge()
        val calm = Settings.Global.getFloat(contentResolver, Settings.Global.ANIMATOR_DURATION_SCALE, 1f) == 0f
        setContent {
            val state = app.state
            if (state == null) {
                FailedApp(app.problem.orEmpty(), getString(R.string.again), letters) {
                    app.open(null)
                    heed(latest ?: intent)
                }
            } else {
                BackHandler(state.canGoBack) { state.back() }
                val solid = state.page?.head == Head.Solid
                LaunchedEffect(state.light, solid) {
                    val bars = WindowCompat.getInsetsController(window, window.decorView)
                    bars.isAppearanceLightStatusBars = paletteFor(state.light).isLight && !solid
                    bars.isAppearanceLightNavigationBars = paletteFor(state.light).isLight
                }
                SlackwaterApp(state, letters, calm)
            }
        }
    }

    override fun onPostCreate(savedInstanceState: Bundle?) {
        super.onPostCreate(savedInstanceState)
        if (savedInstanceState == null) heed(intent)
    }

    override fun onNewIntent(intent: Intent) {
        super.onNewIntent(intent)
        latest = intent
        heed(intent)
    }

    /** Goes where a notification leads; takes in a file that another app hands over. */
    private fun heed(intent: Intent) {
        // Begun again from the list of recent apps, Android hands over the old intent.
        if (app.state == null || intent.flags and Intent.FLAG_ACTIVITY_LAUNCHED_FROM_HISTORY != 0) return
        when (intent.action) {
            Intent.ACTION_VIEW -> intent.data
            Intent.ACTION_SEND -> IntentCompat.getParcelableExtra(intent, Intent.EXTRA_STREAM, Uri::class.java)
            else -> null
        }?.let { app.handedIn(it) }
        intent.getStringExtra(PLACE)?.let { app.state?.go(it) }
    }

    override fun onStart() {
        super.onStart()
        app.camera.launch = { launchCamera() }
        app.camera.show = { choosePhoto.launch(PickVisualMediaRequest(PickVisualMedia.ImageOnly)) }
        app.intake.launch = { chooseFile.launch(arrayOf("*/*")) }
        app.barometer.listen()
        app.isInFront = true
        if (Build.VERSION.SDK_INT >= Build.VERSION_CODES.TIRAMISU) {
            app.caller.ask = { mayNotify.launch(Manifest.permission.POST_NOTIFICATIONS) }
        }
        app.zoneMayHaveChanged()
        app.state?.again()
    }

    override fun onStop() {
        app.camera.launch = null
        app.camera.show = null
        app.intake.launch = null
        app.barometer.rest()
        app.isInFront = false
        app.caller.ask = null
        super.onStop()
    }

    override fun onDestroy() {
        if (app.awake.window == window) app.awake.window = null
        super.onDestroy()
    }

    private fun launchCamera() {
        val folder = File(cacheDir, "photos").apply { mkdirs() }
        val file = File(folder, "photo-${System.currentTimeMillis()}.jpg")
        asked = file
        takePicture.launch(FileProvider.getUriForFile(this, "$packageName.photos", file))
    }

    override fun onSaveInstanceState(outState: Bundle) {
        super.onSaveInstanceState(outState)
        asked?.let { outState.putString(ASKED, it.path) }
        app.state?.let { outState.write(it.kept()) }
    }

    companion object {
        private const val ASKED = "asked"

        /** Where an intent leads: a page, in the core's words. */
        const val PLACE = "place"
    }
}
