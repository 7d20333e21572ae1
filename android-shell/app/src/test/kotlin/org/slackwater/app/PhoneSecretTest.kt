package org.slackwater.app

import android.app.Application
import androidx.test.core.app.ApplicationProvider
import androidx.test.ext.junit.runners.AndroidJUnit4
import java.io.File
import java.security.GeneralSecurityException
import java.security.ProviderException
import java.security.UnrecoverableKeyException
import org.junit.After
import org.junit.Assert.assertArrayEquals
import org.junit.Assert.assertEquals
import org.junit.Assert.assertFalse
import org.junit.Assert.assertNotNull
import org.junit.Assert.assertNull
import org.junit.Assert.assertTrue
import org.junit.Before
import org.junit.Test
import org.junit.runner.RunWith
import org.robolectric.annotation.Config
import org.slackwater.ui.core.HeldSecret

/** The secret of the phone's key store, and what its failures leave. */
@RunWith(AndroidJUnit4::class)
@Config(application = Application::class)
class PhoneSecretTest {
    private val phone: Application
        get() = ApplicationProvider.getApplicationContext()

    private val folder: File
        get() = phone.noBackupFilesDir

    private val file
        get() = File(folder, "device-secret")

    private fun secret(): HeldSecret = PhoneSecret(phone).get()

    private fun aside() = folder.list().orEmpty().filter { it.startsWith("device-secret.lost-") }

    @Before fun keyStore() = FakeKeyStore.install()

    @After fun noKeyStore() = FakeKeyStore.remove()

    @Test
    fun itIsThirtyTwoBytesAndTheSameEachTime() {
        val first = secret()
        assertNull(first.lost)
        assertEquals(32, requireNotNull(first.bytes).size)
        assertArrayEquals(first.bytes, secret().bytes)
        val kept = file.readBytes().toList()
        assertFalse("never as it is", kept.windowed(32).any { it == first.bytes.toList() })
        assertFalse("what is backed up lies elsewhere", file.path.startsWith(phone.filesDir.path + "/"))
    }

    @Test
    fun aKeyThatIsGoneSetsTheFileAsideAndBeginsAnew() {
        val first = secret().bytes
        FakeKeyStore.keys.clear()
        val after = secret()
        assertEquals("its key is gone", after.lost)
        assertFalse(first.contentEquals(requireNotNull(after.bytes)))
        assertEquals(1, aside().size)
        assertNull("told once, with the opening that found it", secret().lost)
        assertArrayEquals(after.bytes, secret().bytes)
    }

    @Test
    fun aKeyThatWasMadeInvalidIsAsGood() {
        secret()
        FakeKeyStore.invalid += FakeKeyStore.keys.keys
        val after = secret()
        assertEquals("its key is gone", after.lost)
        assertEquals(1, aside().size)
        assertArrayEquals("a new key opens the new secret", requireNotNull(after.bytes), secret().bytes)
    }

    @Test
    fun aKeyThatIsGoneWhileNoneCanBeMadeOpensAllTheSame() {
        secret()
        FakeKeyStore.keys.clear()
        FakeKeyStore.unmade = ProviderException("busy")
        val none = secret()
        assertNull(none.bytes)
        assertEquals("its key is gone", none.lost)
        FakeKeyStore.unmade = null
        assertNotNull(secret().bytes)
        assertEquals("the old file is still there", 1, aside().size)
    }

    @Test
    fun aKeyStoreThatDoesNotAnswerLosesNothing() {
        val first = secret().bytes
        for (fault in
            listOf(ProviderException("busy"), UnrecoverableKeyException("busy"), GeneralSecurityException("busy"))) {
            FakeKeyStore.failing = fault
            val meanwhile = secret()
            assertNull(meanwhile.bytes)
            assertEquals("busy", meanwhile.lost)
        }
        FakeKeyStore.failing = null
        assertArrayEquals("it answers again", first, secret().bytes)
        assertTrue(aside().isEmpty())
    }

    @Test
    fun aDamagedFileIsSetAside() {
        for (damage in listOf(ByteArray(0), ByteArray(7), ByteArray(60))) {
            val before = secret().bytes
            file.writeBytes(damage)
            val after = secret()
            assertEquals("the file of the secret is damaged", after.lost)
            assertFalse(before.contentEquals(requireNotNull(after.bytes)))
            Thread.sleep(2)
        }
        assertEquals(3, aside().size)
    }

    @Test
    fun aPhoneWithoutAKeyStoreOpensAllTheSame() {
        FakeKeyStore.remove()
        val none = secret()
        assertNull(none.bytes)
        assertNotNull(none.lost)
        assertFalse("nothing is kept that nothing protects", file.exists())
    }

    @Test
    fun aFolderThatCantBeWrittenOpensAllTheSame() {
        file.mkdirs()
        File(file, "x").writeText("x")
        val none = secret()
        assertNull(none.bytes)
        assertNotNull(none.lost)
    }
}
