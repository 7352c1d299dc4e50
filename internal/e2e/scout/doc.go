// Package scout proves the Scout screen in a real headless browser: a photograph is brought in,
// pressed, put into the shoot and laid under the frame, and a room is walked round by the keyboard.
// It holds no code that the program runs.
package scout
