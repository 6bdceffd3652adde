// What Electron's window gets instead of Node: calls and subscriptions by the names of the contract, and nothing else.
import { contextBridge, ipcRenderer } from 'electron';
import { isCallName, isEventName, type Desk } from './contract.ts';
import { callChannel, eventChannel } from './electron/channels.ts';

/**
 * A bridge between worlds carries plain functions: names are checked here, at run time, whatever the page's types say.
 */
const desk: { readonly [K in keyof Desk]: (...given: never[]) => unknown } = {
  async call(name: unknown, ...args: unknown[]): Promise<unknown> {
    if (!isCallName(name)) throw new Error('There is no such call.');
    return ipcRenderer.invoke(callChannel(name), args);
  },
  on(name: unknown, listener: unknown): () => void {
    if (!isEventName(name) || typeof listener !== 'function') throw new Error('There is no such event.');
    // The page never sees Electron's own event object, which would lead back to the sender.
    const heard = (_event: unknown, value: unknown): void => void listener(value);
    ipcRenderer.on(eventChannel(name), heard);
    return () => void ipcRenderer.removeListener(eventChannel(name), heard);
  },
};

contextBridge.exposeInMainWorld('desk', desk);
