package org.slackwater.ui.core

import androidx.compose.ui.graphics.ImageBitmap
import org.slackwater.core.Calls
import org.slackwater.core.Document
import org.slackwater.core.DueReading
import org.slackwater.core.PhoneState
import org.slackwater.core.Reached
import org.slackwater.ui.design.Light

/** What a phone has and the screens need. Each has one implementation per platform, and one for tests. */
data class Platform(
    val pictures: Pictures,
    val camera: Camera,
    val settings: Settings,
    val alarm: Alarm,
    val sharing: Sharing,
    val barometer: Barometer = NoBarometer,
    val intake: Intake = NoIntake,
    val awake: Awake = NeverAwake,
    val caller: Caller = NeverCalls,
    val condition: Condition = UnknownCondition,
)

/** Reads pictures. */
interface Pictures {
    /** The picture in the file at [path], or null if it can't be read. Called off the UI thread. */
    fun load(path: String): ImageBitmap?

    /** The picture in [bytes], or null if it can't be read. Called off the UI thread. */
    fun read(bytes: ByteArray): ImageBitmap?
}

/** Hands a file to another app, a person or a folder. */
interface Sharing {
    /**
     * Offers [document]; the person chooses where it goes, or nowhere. Throws [CoreProblem] where it can't be offered.
     */
    fun offer(document: Document)
}

/** Takes photos. */
interface Camera {
    /**
     * Lets the person take or pick a photo, then calls [taken] on the UI thread with it, or with null if none was
     * taken. Throws [CoreProblem] where nothing here takes photos.
     */
    fun take(taken: (Photo?) -> Unit)

    /**
     * Lets the person choose a photo that is there already, then calls [picked] on the UI thread with it, with null if
     * none was chosen, or with why it can't be read.
     */
    fun pick(picked: (Result<Photo?>) -> Unit) = take { picked(Result.success(it)) }

    /** Whether [photo], which was left here, is here still. */
    fun has(photo: Photo): Boolean = true

    /** The core has [photo], or the person dropped it: a copy made for the app may go. */
    fun release(photo: Photo) = Unit
}

/** What this device remembers for itself; nothing the crew shares. */
interface Settings {
    var light: Light
}

/** Calls for attention while the app is in front. */
interface Alarm {
    /** The next reading is due. Rings once, for a person with wet hands and an engine running; never for long. */
    fun ring()

    /** A hold that is watched has come to something: felt through a glove, one shake apart from the other. */
    fun verdict(reached: Reached) = ring()
}

/** Calls for the next reading of a hold while the app is put away. */
interface Caller {
    /** Calls for these, each at its time, and for nothing else any more. Off the UI thread. */
    fun set(due: List<DueReading>)

    /** How a call would come through now; null where that can't be told. */
    fun standing(): Calls?
}

/** A computer is not put away. */
object NeverCalls : Caller {
    override fun set(due: List<DueReading>) = Unit

    override fun standing(): Calls? = null
}

/** How the phone is. */
interface Condition {
    /** Its figures now; null where none can be had. Returns at once; called off the UI thread. */
    fun now(): PhoneState?
}

/** A computer's battery and disk are its own affair. */
object UnknownCondition : Condition {
    override fun now(): PhoneState? = null
}

/** Keeps the screen from going dark. */
interface Awake {
    /** For as long as [on] was said last, while the app is in front. On the UI thread. */
    fun keep(on: Boolean)
}

/** A window on a computer goes dark when the computer does. */
object NeverAwake : Awake {
    override fun keep(on: Boolean) = Unit
}

/** The secret of 32 bytes from which, with a file beside the store, this phone's signing key is made. */
interface DeviceSecret {
    /** Asked once before the store is opened. Never throws: an app that can't open locks its crew out. */
    fun get(): HeldSecret
}

/**
 * What the key store gave.
 *
 * @param bytes null where it gives none: the phone then signs by the file alone, as another device.
 * @param lost why that is, or why [bytes] are new where there were others; null where all is well.
 */
class HeldSecret(val bytes: ByteArray?, val lost: String?)

/** The air pressure outside, by the phone's own barometer. */
interface Barometer {
    /**
     * What it reads now, or null where there is none or it has not answered within some seconds. Returns at once;
     * called off the UI thread before each screen is shown.
     */
    fun now(): AirPressure?
}

/**
 * A pressure in pascals.
 *
 * @param errorPascals the error its maker states (1 sd), or null where it states none.
 * @param stepPascals the smallest step it can show, where known; it says nothing of the error.
 * @param everySeconds from one figure to the next, where known.
 */
data class AirPressure(
    val pascals: Double,
    val errorPascals: Double?,
    val stepPascals: Double? = null,
    val everySeconds: Double? = null,
)

/** A computer has no barometer, and not every phone has. */
object NoBarometer : Barometer {
    override fun now(): AirPressure? = null
}

/** Takes a file that the core asked for. */
interface Intake {
    /**
     * Lets the person choose a file, then calls [taken] on the UI thread with it, with null if none was chosen, or with
     * why it can't be read. Throws [CoreProblem] where that can't be asked.
     */
    fun take(taken: (Result<Document?>) -> Unit)

    /** The core has read [document]: a copy made for the app may go. Off the UI thread. */
    fun release(document: Document) = Unit
}

/** Takes nothing. */
object NoIntake : Intake {
    override fun take(taken: (Result<Document?>) -> Unit) = taken(Result.success(null))
}
