package org.slackwater.smoke

import org.junit.Assert.assertEquals
import org.junit.Assert.assertNotEquals
import org.junit.Assert.assertNotNull
import org.junit.Test
import org.slackwater.core.Block

/** The library comes out of the jar and belongs to the binding that was compiled. */
class LoadTest {
    @Test
    fun theLibraryIsInTheJarAndFitsTheBinding() {
        val name = System.mapLibraryName("slackwater")
        val platform = com.sun.jna.Platform.RESOURCE_PREFIX
        assertNotNull("$platform/$name", javaClass.getResource("/$platform/$name"))
        // Compares the checksum of each function; throws where one differs.
        org.slackwater.core.uniffiEnsureInitialized()
        org.slackwater.ffi.uniffiEnsureInitialized()
    }

    @Test
    fun recordsAreValues() {
        assertEquals(Block.Title("Seals"), Block.Title("Seals"))
        assertNotEquals(Block.Title("Seals"), Block.Title("Controls"))
    }
}
