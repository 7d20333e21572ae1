package org.slackwater.ui.core

import org.slackwater.core.Action
import org.slackwater.core.Document
import org.slackwater.core.DueReading
import org.slackwater.core.FieldValue
import org.slackwater.core.Page
import org.slackwater.core.PhoneState
import org.slackwater.core.Reply
import org.slackwater.core.ShellWords

/**
 * The core as the screens see it. Records come from the generated binding; the objects behind this interface are
 * touched by its one implementation only.
 *
 * Every call may wait for the disk and is made off the UI thread, one at a time.
 */
interface Core : Moves, HearsPhone, TakesFiles, AutoCloseable {
    /** The page that stands now. Throws [CoreProblem]. */
    fun page(): Page

    /** Does [action], which was tapped on the page that bears [at]. Throws [CoreProblem]; then nothing was recorded. */
    fun act(at: String, action: Action): Reply

    /** Sends a form of the page that bears [at], as [act] does. */
    fun submit(at: String, form: String, values: List<FieldValue>): Reply

    /** Takes back what [token] stands for. Throws [CoreProblem]. */
    fun undo(token: String): Reply

    /** Keeps a photo, as the camera made it, with a note. Throws [CoreProblem]. */
    fun addPhoto(subject: String, note: String, photo: Photo): Reply

    /** The words that belong to the shell and to no record. */
    fun words(): ShellWords

    /** File of the upright small picture of a photo, made now if need be. Throws [CoreProblem]. */
    fun thumbnail(hash: String): String

    /** A photo upright and as large as a screen, as the bytes of a picture. Throws [CoreProblem]. */
    fun large(hash: String): ByteArray
}

/** How the core is led from page to page where no action does. Called as [Core] is. */
interface Moves {
    /** Goes back one page; stays at the first. */
    fun back()

    /** Goes to the page that a record names by [at]. */
    fun go(at: String)

    /** Goes where the app was when [kept] was kept; to the first page for what is none. */
    fun restore(kept: String)
}

/** A photo on its way to the core. */
sealed interface Photo {
    /** A file that the camera or a picker left; it may be removed once the core has it. */
    data class File(val path: String) : Photo

    /** The bytes as the camera made them. */
    class Bytes(val bytes: ByteArray) : Photo
}

/** Why the core could not do it, in words for the person holding the phone. */
class CoreProblem(message: String, cause: Throwable? = null) : Exception(message, cause) {
    /** In the words of what lies beneath. */
    constructor(cause: Throwable) : this(cause.message ?: cause.toString(), cause)
}

/** What the core hears of the phone, and wants of it. Called as [Core] is. */
interface HearsPhone {
    /** The air pressure outside by the phone's own barometer; forms offer it for two minutes. */
    fun offer(air: AirPressure) = Unit

    /** How the phone is. */
    fun offer(phone: PhoneState) = Unit

    /** The readings that running holds want next. Throws [CoreProblem]. */
    fun due(): List<DueReading> = emptyList()
}

/** How the core takes files in. But for what says otherwise, called as [Core] is. */
interface TakesFiles {
    /** Brings in the file that a reply asked for by [wanted]. Throws [CoreProblem]. */
    fun bring(wanted: String, document: Document): Reply

    /** Takes a file that another app handed in, or says why not. Throws [CoreProblem]. */
    fun receive(document: Document): Reply

    /**
     * How much of the file that [bring] or [receive] takes in is done, in words; null while none comes in. Answers at
     * once, from any thread, also while the core is asked something else.
     */
    fun bringing(): String? = null

    /** Gives up the file that is coming in. Answers at once, from any thread. */
    fun giveUp() = Unit
}
