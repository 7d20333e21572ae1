package org.slackwater.app

import android.net.Uri
import android.os.Bundle
import android.provider.Settings
import androidx.activity.ComponentActivity
import androidx.activity.compose.BackHandler
import androidx.activity.compose.setContent
import androidx.activity.enableEdgeToEdge
import androidx.activity.result.ActivityResultLauncher
import androidx.activity.result.contract.ActivityResultContracts
import androidx.compose.runtime.LaunchedEffect
import androidx.compose.ui.text.font.Font
import androidx.compose.ui.text.font.FontFamily
import androidx.compose.ui.text.font.FontWeight
import androidx.core.content.FileProvider
import androidx.core.view.WindowCompat
import java.io.File
import org.slackwater.ui.R as UiR
import org.slackwater.ui.core.Photo
import org.slackwater.ui.design.paletteFor
import org.slackwater.ui.screens.FailedApp
import org.slackwater.ui.screens.SlackwaterApp

/** The bundled letters, from the same files as on the desktop. */
private val letters =
    FontFamily(
        Font(UiR.font.open_sans_regular, FontWeight.Normal),
        Font(UiR.font.open_sans_semibold, FontWeight.SemiBold),
        Font(UiR.font.open_sans_bold, FontWeight.Bold),
    )

/** The one activity. Everything it shows lives in [SlackwaterApplication]. */
class MainActivity : ComponentActivity() {
    private val app
        get() = application as SlackwaterApplication

    private lateinit var takePicture: ActivityResultLauncher<Uri>

    /** Where the camera app was asked to write; kept, since the process may end meanwhile. */
    private var asked: File? = null

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
        app.open(savedInstanceState?.readKept())
        app.awake.window = window
        enableEdgeToEdge()
        val calm = Settings.Global.getFloat(contentResolver, Settings.Global.ANIMATOR_DURATION_SCALE, 1f) == 0f
        setContent {
            val state = app.state
            if (state == null) {
                FailedApp(app.problem.orEmpty(), getString(R.string.again), letters) { app.open(null) }
            } else {
                BackHandler(state.canGoBack) { state.back() }
                LaunchedEffect(state.light) {
                    val bars = WindowCompat.getInsetsController(window, window.decorView)
                    bars.isAppearanceLightStatusBars = paletteFor(state.light).isLight
                    bars.isAppearanceLightNavigationBars = paletteFor(state.light).isLight
                }
                SlackwaterApp(state, letters, calm)
            }
        }
    }

    override fun onStart() {
        super.onStart()
        app.camera.launch = { launchCamera() }
        app.barometer.listen()
        app.zoneMayHaveChanged()
        app.state?.again()
    }

    override fun onStop() {
        app.camera.launch = null
        app.barometer.rest()
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

    private companion object {
        const val ASKED = "asked"
    }
}
