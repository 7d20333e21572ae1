import javax.inject.Inject
import org.gradle.process.ExecOperations

plugins {
    alias(libs.plugins.android.application)
    alias(libs.plugins.kotlin.compose)
}

android {
    namespace = libs.versions.applicationId.get()
    compileSdk = libs.versions.targetSdk.get().toInt()
    defaultConfig {
        applicationId = libs.versions.applicationId.get()
        minSdk = libs.versions.minSdk.get().toInt()
        targetSdk = libs.versions.targetSdk.get().toInt()
        versionCode = libs.versions.versionCode.get().toInt()
        versionName = libs.versions.versionName.get()
    }
    compileOptions {
        sourceCompatibility = JavaVersion.toVersion(libs.versions.jvmTarget.get())
        targetCompatibility = JavaVersion.toVersion(libs.versions.jvmTarget.get())
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

    @get:Input abstract val oldest: Property<String>

    @get:Input abstract val processors: ListProperty<String>

    @get:OutputDirectory abstract val libraries: DirectoryProperty

    init {
        // Cargo knows better what has changed.
        outputs.upToDateWhen { false }
    }

    @TaskAction
    fun build() {
        val targets = processors.get().flatMap { listOf("-t", it) }
        programs.exec {
            workingDir = checkout.get().asFile
            commandLine(
                listOf("cargo", "ndk", "-P", oldest.get()) +
                    targets +
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
                oldest = libs.versions.minSdk
                processors = libs.versions.processors.get().split(",")
            }
        variant.sources.jniLibs?.addGeneratedSourceDirectory(core, CoreForPhones::libraries)
    }
}

dependencies {
    implementation(project(":ui"))
    implementation(libs.activity.compose)
    implementation(libs.core.ktx)
}
