import javax.inject.Inject
import org.gradle.process.ExecOperations

plugins {
    alias(libs.plugins.android.application)
    alias(libs.plugins.kotlin.compose)
}

android {
    namespace = "org.slackwater.app"
    compileSdk = 36
    defaultConfig {
        applicationId = "org.slackwater.app"
        minSdk = 26
        targetSdk = 36
        versionCode = 1
        versionName = "0.1.0"
    }
    compileOptions {
        sourceCompatibility = JavaVersion.VERSION_17
        targetCompatibility = JavaVersion.VERSION_17
    }
    buildFeatures { compose = true }
    buildTypes {
        release {
            isMinifyEnabled = true
            isShrinkResources = true
            proguardFiles(getDefaultProguardFile("proguard-android-optimize.txt"), "proguard-rules.pro")
            // Signed by whoever owns the key: no key and no password belongs into this folder.
        }
    }
}

/** The core for each processor of a phone, by cargo-ndk; ANDROID_NDK_HOME says where the compiler is. */
abstract class CoreForPhones @Inject constructor(private val programs: ExecOperations) : DefaultTask() {
    @get:Internal abstract val checkout: DirectoryProperty

    @get:Input abstract val profile: Property<String>

    @get:OutputDirectory abstract val libraries: DirectoryProperty

    init {
        // Cargo knows better what has changed.
        outputs.upToDateWhen { false }
    }

    @TaskAction
    fun build() {
        val processors = listOf("arm64-v8a", "armeabi-v7a", "x86_64").flatMap { listOf("-t", it) }
        programs.exec {
            workingDir = checkout.get().asFile
            commandLine(
                listOf("cargo", "ndk", "-P", "26") +
                    processors +
                    listOf("-o", libraries.get().asFile.path, "build", "--package", "slackwater-ffi", "--lib") +
                    listOf("--profile", profile.get())
            )
        }
    }
}

androidComponents {
    onVariants { variant ->
        val core =
            tasks.register<CoreForPhones>("coreFor${variant.name.replaceFirstChar { it.uppercase() }}") {
                checkout = rootProject.layout.projectDirectory.dir("..")
                profile = if (variant.buildType == "release") "release" else "dev"
            }
        variant.sources.jniLibs?.addGeneratedSourceDirectory(core, CoreForPhones::libraries)
    }
}

dependencies {
    implementation(project(":ui"))
    implementation(libs.activity.compose)
    implementation(libs.core.ktx)
}
