package org.slackwater.ui.core

import org.slackwater.core.Action
import org.slackwater.core.Place

/** The form or list a place shows alone, if any. */
val Place.form: String?
    get() =
        when (this) {
            is Place.Rigs -> form
            is Place.Rig -> form
            is Place.Prep -> form
            is Place.Hold -> form
            is Place.Seal -> form
            is Place.Trim -> form
            is Place.Crew -> form
            is Place.RingBox -> form
            is Place.Spares -> form
            is Place.RigEdit -> part
            is Place.HoldSetup,
            is Place.Recheck,
            is Place.Seals,
            is Place.Service,
            is Place.Journal,
            is Place.Entry,
            is Place.Photo -> null
        }

/** Writes a place as plain texts, so that the phone can keep it while the app is not running. */
fun Place.written(): List<String?> =
    when (this) {
        is Place.Rigs -> listOf("rigs", form)
        is Place.Rig -> listOf("rig", rig, form)
        is Place.RigEdit -> listOf("edit", rig, part)
        is Place.Prep -> listOf("prep", prep, step, form)
        is Place.HoldSetup -> listOf("setup", rig, enclosure)
        is Place.Hold -> listOf("hold", hold, form)
        is Place.Recheck -> listOf("recheck", rig)
        is Place.Seals -> listOf("seals", rig)
        is Place.Seal -> listOf("seal", rig, seal, form)
        is Place.Service -> listOf("service", rig, seal, stage, prep, step)
        is Place.RingBox -> listOf("box", form)
        is Place.Spares -> listOf("spares", rig, form)
        is Place.Trim -> listOf("trim", rig, form)
        is Place.Journal -> listOf("journal", rig, before)
        is Place.Entry -> listOf("entry", event)
        is Place.Photo -> listOf("photo", photo)
        is Place.Crew -> listOf("crew", form)
    }

/** Reads what [written] wrote; null for anything else, such as what a newer program left. */
fun readPlace(texts: List<String?>): Place? {
    val rest = texts.iterator()
    fun next(): String? = if (rest.hasNext()) rest.next() else null
    fun must(): String = requireNotNull(next())
    return try {
        when (next()) {
            "rigs" -> Place.Rigs(next())
            "rig" -> Place.Rig(must(), next())
            "edit" -> Place.RigEdit(must(), next())
            "prep" -> Place.Prep(must(), next(), next())
            "setup" -> Place.HoldSetup(must(), must())
            "hold" -> Place.Hold(must(), next())
            "recheck" -> Place.Recheck(must())
            "seals" -> Place.Seals(must())
            "seal" -> Place.Seal(must(), must(), next())
            "service" -> Place.Service(must(), must(), must(), next(), next())
            "box" -> Place.RingBox(next())
            "spares" -> Place.Spares(must(), next())
            "trim" -> Place.Trim(must(), next())
            "journal" -> Place.Journal(next(), next())
            "entry" -> Place.Entry(must())
            "photo" -> Place.Photo(must())
            "crew" -> Place.Crew(next())
            else -> null
        }
    } catch (_: IllegalArgumentException) {
        null
    }
}

/** The stack after going to [go]. The rules of moving stand here and nowhere else. */
fun moved(stack: List<Place>, leave: Boolean, go: Place?): List<Place> {
    var next = if (leave) stack.dropLast(1) else stack
    if (go != null) {
        val seen = next.indexOf(go)
        val prep =
            if (go is Place.Prep && go.form == null)
                next.indexOfFirst { it is Place.Prep && it.prep == go.prep && it.form == null }
            else -1
        next =
            when {
                // Back where one was: what was opened since is closed.
                seen >= 0 -> next.take(seen + 1)
                // Another step of the same prep takes the place of the last, and of what was opened since, so Back
                // leaves the prep.
                prep >= 0 -> next.take(prep) + go
                else -> next + go
            }
    }
    return next.ifEmpty { listOf(Place.Rigs(null)) }
}

/** What an action is on its own screen. */
val Action.own: Any
    get() =
        when (this) {
            is Action.Rigs -> action
            is Action.Rig -> action
            is Action.RigEdit -> action
            is Action.Prep -> action
            is Action.Hold -> action
            is Action.Recheck -> action
            is Action.Seals -> action
            is Action.Service -> action
            is Action.RingBox -> action
            is Action.Spares -> action
            is Action.Trim -> action
            is Action.Journal -> action
            is Action.Photo -> action
            is Action.Crew -> action
        }
